"""Hanging by hand and by rule: one slot a tile, nobody overwritten, each change undone in one step."""

import pytest
from django.contrib.messages import get_messages
from django.db import IntegrityError, transaction
from django.test import Client

from firings.models import StaleEdit
from firings.moments import mark_of
from studio.models import Person
from tests.counting import queries_of
from tests.factories import (
    CONE_5,
    CONE_6,
    CONE_10,
    BoardFactory,
    BoardSlotFactory,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.boards import queries, services
from tiles.boards.layout import Axis, laid_out
from tiles.models import Board, BoardSlot, Tile

pytestmark = pytest.mark.django_db


@pytest.fixture
def board() -> Board:
    return BoardFactory(name="By the door", rows=2, columns=3)


def hanging(board: Board) -> dict[tuple[int, int], str]:
    """The numbers on a board by their slots."""
    slots = BoardSlot.objects.filter(board=board, tile__isnull=False)
    return {(slot.row, slot.column): slot.tile.label for slot in slots}


def wanted(board: Board) -> dict[tuple[int, int], str]:
    slots = BoardSlot.objects.filter(board=board).exclude(wanted="")
    return {(slot.row, slot.column): slot.wanted for slot in slots}


def address(board: Board, row: int, column: int, what: str = "") -> str:
    return f"/boards/{board.pk}/{row}/{column}/{what}"


def undo(client: Client, answer) -> None:
    (message,) = get_messages(answer.wsgi_request)
    client.post(message.extra_tags)


def fired(body=None, *, cone: int = CONE_6, series=None, glaze=None) -> Tile:
    """A tile of one glaze that was fired to a cone by its order in the series."""
    tile = TileFactory(body=body or ClayBodyFactory(), series=series)
    fired_outcomes(
        glaze_tile(tile, (glaze or GlazeFactory(), {"band 1": 2})),
        FiringFactory(fired=True, target_order=cone, reached_order=cone),
    )
    return tile


def test_a_typed_number_hangs_in_its_slot_and_the_page_says_so(recorder_client: Client, board):
    tile = TileFactory()

    recorder_client.post(address(board, 1, 2, "hang/"), {"numbers": tile.label, "seen": "|"})

    assert hanging(board) == {(1, 2): tile.label}
    assert tile.label in recorder_client.get(f"/boards/{board.pk}/").content.decode()


def test_a_scanned_list_fills_the_free_slots_that_follow(recorder_client: Client, board):
    there, *coming = [TileFactory() for _ in range(4)]
    BoardSlotFactory(board=board, row=1, column=3, tile=there)
    typed = ", ".join([f"http://studio.example/T/{coming[0].label}", *(tile.label for tile in coming[1:])])

    recorder_client.post(address(board, 1, 2, "hang/"), {"numbers": typed, "seen": "|"})

    assert hanging(board) == {
        (1, 2): coming[0].label,
        (1, 3): there.label,
        (2, 1): coming[1].label,
        (2, 2): coming[2].label,
    }


def test_a_list_too_long_hangs_nothing_and_keeps_what_was_typed(recorder_client: Client, board):
    typed = ", ".join(TileFactory().label for _ in range(3))

    answer = recorder_client.post(address(board, 2, 2, "hang/"), {"numbers": typed, "seen": "|"})

    assert answer.status_code == 422
    assert "Only 2 of 3" in answer.content.decode()
    assert typed in answer.content.decode()
    assert hanging(board) == {}


def test_a_wrong_number_is_told_and_nothing_hangs(recorder_client: Client, board):
    answer = recorder_client.post(address(board, 1, 1, "hang/"), {"numbers": "1042-8", "seen": "|"})

    assert answer.status_code == 422
    assert "one digit is wrong" in answer.content.decode()


def test_a_tile_hangs_in_one_slot_only_whatever_board(recorder_client: Client, board):
    other = BoardFactory()
    tile = BoardSlotFactory(board=other, row=1, column=1, tile=TileFactory()).tile

    answer = recorder_client.post(address(board, 1, 1, "hang/"), {"numbers": tile.label, "seen": "|"})

    assert (hanging(board), hanging(other)) == ({(1, 1): tile.label}, {})
    undo(recorder_client, answer)
    assert (hanging(board), hanging(other)) == ({}, {(1, 1): tile.label})


def test_the_database_itself_keeps_a_tile_from_two_slots(board):
    tile = BoardSlotFactory(board=board, tile=TileFactory()).tile

    with pytest.raises(IntegrityError), transaction.atomic():
        BoardSlotFactory(board=board, tile=tile)


def test_two_tiles_change_places_and_back(recorder_client: Client, board):
    one, two = TileFactory(), TileFactory()
    BoardSlotFactory(board=board, row=1, column=1, tile=one)
    BoardSlotFactory(board=board, row=2, column=3, tile=two)

    answer = recorder_client.post(
        address(board, 1, 1, "move/"), {"row": 2, "column": 3, "seen": f"{one.label}|"}
    )

    assert hanging(board) == {(1, 1): two.label, (2, 3): one.label}
    undo(recorder_client, answer)
    assert hanging(board) == {(1, 1): one.label, (2, 3): two.label}


def test_a_tile_is_moved_to_a_free_slot_but_not_beyond_the_board(recorder_client: Client, board):
    tile = BoardSlotFactory(board=board, row=1, column=1, tile=TileFactory()).tile
    sent = {"row": 1, "column": 2, "seen": f"{tile.label}|"}

    beyond = recorder_client.post(address(board, 1, 1, "move/"), sent | {"column": 4})
    recorder_client.post(address(board, 1, 1, "move/"), sent)

    assert beyond.status_code == 422
    assert "columns 1 to 3" in beyond.content.decode()
    assert hanging(board) == {(1, 2): tile.label}


def test_what_is_wanted_is_noted_and_leads_to_the_planner(recorder_client: Client, board):
    recorder_client.post(address(board, 2, 1, "want/"), {"wanted": "Harbour on brown", "seen": "|"})
    page = recorder_client.get(f"/boards/{board.pk}/").content.decode()

    assert wanted(board) == {(2, 1): "Harbour on brown"}
    assert "Harbour on brown" in page
    assert 'href="/plans/new/"' in page


def test_clearing_a_slot_is_undone_in_one_step(recorder_client: Client, board):
    tile = BoardSlotFactory(board=board, row=1, column=1, tile=TileFactory()).tile

    answer = recorder_client.post(address(board, 1, 1, "want/"), {"wanted": "", "seen": f"{tile.label}|"})

    assert hanging(board) == {}
    undo(recorder_client, answer)
    assert hanging(board) == {(1, 1): tile.label}


def test_what_somebody_else_hung_meanwhile_stays(recorder_client: Client, board):
    theirs, mine = BoardSlotFactory(board=board, row=1, column=1, tile=TileFactory()).tile, TileFactory()

    answer = recorder_client.post(address(board, 1, 1, "hang/"), {"numbers": mine.label, "seen": "|"})

    assert answer.status_code == 409
    assert mine.label in answer.content.decode()
    assert hanging(board) == {(1, 1): theirs.label}


def test_undoing_leaves_what_somebody_changed_since(recorder_client: Client, keeper: Person, board):
    first, second, third = TileFactory(), TileFactory(), TileFactory()
    answer = recorder_client.post(
        address(board, 1, 1, "hang/"), {"numbers": f"{first.label}, {second.label}", "seen": "|"}
    )
    services.hang(board, (1, 1), [third], f"{first.label}|", by=keeper)

    undo(recorder_client, answer)

    assert hanging(board) == {(1, 1): third.label}


def test_nobody_undoes_what_another_did(
    viewer_client: Client, keeper_client: Client, recorder: Person, board
):
    tile = TileFactory()
    moment = services.hang(board, (1, 1), [tile], "|", by=recorder)

    keeper_client.post(f"/boards/undo/{mark_of(moment)}/")
    viewer_client.post(f"/boards/undo/{mark_of(moment)}/")

    assert hanging(board) == {(1, 1): tile.label}


def test_cones_across_and_bodies_down_with_what_is_missing(recorder_client: Client, board):
    dark, pale = ClayBodyFactory(name="Dark"), ClayBodyFactory(name="Pale")
    series = SeriesFactory()
    at_5, at_6, other = (
        fired(dark, cone=CONE_5, series=series),
        fired(dark, cone=CONE_6, series=series),
        fired(pale, cone=CONE_6, series=series),
    )
    before = BoardSlotFactory(board=board, row=2, column=3, tile=TileFactory()).tile
    rule = {"across": "cone", "down": "body", "series": series.pk, "stamp": board.stamp}

    answer = recorder_client.post(f"/boards/{board.pk}/lay-out/", rule)
    page = recorder_client.get(f"/boards/{board.pk}/").content.decode()

    assert hanging(board) == {(1, 1): at_5.label, (1, 2): at_6.label, (2, 2): other.label}
    assert list(wanted(board)) == [(2, 1)]
    assert "Pale" in wanted(board)[2, 1]
    assert f"/plans/new/?body={pale.pk}&amp;cone={CONE_5}" in page
    undo(recorder_client, answer)
    assert (hanging(board), wanted(board)) == ({(2, 3): before.label}, {})
    assert Board.objects.get().rule == {}


def test_a_board_grows_for_a_rule_and_shrinks_back_with_its_undoing(recorder_client: Client):
    board, series = BoardFactory(rows=1, columns=1), SeriesFactory()
    for cone in (CONE_5, CONE_6, CONE_10):
        fired(cone=cone, series=series)
    rule = {"across": "cone", "down": "body", "series": series.pk, "stamp": board.stamp}

    answer = recorder_client.post(f"/boards/{board.pk}/lay-out/", rule)
    grown = Board.objects.get()
    undo(recorder_client, answer)

    assert (grown.rows, grown.columns) == (3, 3)
    assert (Board.objects.get().rows, Board.objects.get().columns) == (1, 1)


def test_what_it_comes_to_is_shown_before_anything_changes(
    viewer_client: Client, recorder_client: Client, board
):
    series = SeriesFactory()
    tile = fired(series=series)
    asked = f"/boards/{board.pk}/lay-out/?across=cone&down=body&series={series.pk}"

    page = recorder_client.get(asked).content.decode()

    assert tile.label in page
    assert hanging(board) == {}
    assert viewer_client.get(asked).status_code == 403


def test_a_rule_without_tiles_to_choose_from_asks_which(recorder_client: Client, board):
    answer = recorder_client.post(f"/boards/{board.pk}/lay-out/", {"across": "cone", "down": "body"})

    assert answer.status_code == 422
    assert "Say which tiles" in answer.content.decode()


def test_a_board_somebody_changed_meanwhile_is_not_laid_out_over(recorder: Person, keeper: Person, board):
    tile = fired()
    services.hang(board, (1, 1), [tile], "|", by=keeper)
    laid = laid_out(queries.candidates(Tile.objects.all()), Axis.CONE, Axis.BODY)

    with pytest.raises(StaleEdit):
        services.lay_out(board, laid, {}, board.stamp, by=recorder)


def test_tiles_of_another_board_stay_there_unless_they_are_to_be_taken(recorder_client: Client, board):
    tile = fired()
    other = BoardSlotFactory(board=BoardFactory(), row=1, column=1, tile=tile).board
    rule = {"across": "cone", "down": "body", "numbers": tile.label, "stamp": board.stamp}

    recorder_client.post(f"/boards/{board.pk}/lay-out/", rule)
    assert hanging(other) == {(1, 1): tile.label}
    recorder_client.post(f"/boards/{board.pk}/lay-out/", rule | {"take": "on"})

    assert (hanging(board), hanging(other)) == ({(1, 1): tile.label}, {})


def test_a_heading_goes_when_what_hangs_there_belies_it(recorder: Person):
    board, pale, dark = BoardFactory(), ClayBodyFactory(name="Pale"), ClayBodyFactory(name="Dark")
    tiles = [fired(pale, cone=CONE_5), fired(dark, cone=CONE_5)]
    laid = laid_out(queries.candidates(Tile.objects.all()), Axis.CONE, Axis.BODY)
    rule = {
        "across": "cone",
        "down": "body",
        "columns": [[one.value, one.words] for one in laid.columns],
        "rows": [[one.value, one.words] for one in laid.rows],
    }
    services.lay_out(board, laid, rule, board.stamp, by=recorder)
    board = Board.objects.get()
    hung = {(slot.row, slot.column): slot.tile_id for slot in BoardSlot.objects.filter(board=board)}
    assert queries.headings(board, hung) == ({1: "Dark", 2: "Pale"}, {1: "cone 5"})

    swapped = {(1, 1): tiles[0].pk, (2, 1): tiles[1].pk}

    assert queries.headings(board, swapped) == ({}, {1: "cone 5"})


def test_a_board_does_not_shrink_over_its_tiles(recorder_client: Client, board):
    BoardSlotFactory(board=board, row=2, column=3, tile=TileFactory())
    sent = {"name": board.name, "rows": 1, "columns": 3, "note": "", "stamp": board.stamp}

    answer = recorder_client.post(f"/boards/{board.pk}/edit/", sent)

    assert answer.status_code == 422
    assert "as far as row 2" in answer.content.decode()


def test_a_board_asks_no_more_queries_with_more_tiles(viewer_client: Client):
    board = BoardFactory(rows=4, columns=10)
    for n in range(2):
        BoardSlotFactory(board=board, row=1, column=1 + n, tile=fired())
    few = queries_of(viewer_client, f"/boards/{board.pk}/")
    for n in range(10):
        BoardSlotFactory(board=board, row=2, column=1 + n, tile=fired())

    assert queries_of(viewer_client, f"/boards/{board.pk}/") == few


def test_a_viewer_reads_a_board_and_hangs_nothing(viewer_client: Client, board):
    tile = TileFactory()
    answer = viewer_client.post(address(board, 1, 1, "hang/"), {"numbers": tile.label, "seen": "|"})

    assert answer.status_code == 403
    assert address(board, 1, 2) not in viewer_client.get(f"/boards/{board.pk}/").content.decode()


def test_a_tile_in_the_bin_leaves_its_slot_free(recorder_client: Client, keeper: Person, board):
    tile = BoardSlotFactory(board=board, row=1, column=1, tile=TileFactory()).tile
    tile.put_in_bin(by=keeper)
    other = TileFactory()

    recorder_client.post(address(board, 1, 1, "hang/"), {"numbers": other.label, "seen": "|"})

    assert hanging(board) == {(1, 1): other.label}


def test_of_very_many_tiles_the_page_says_how_many_were_not_looked_through(
    recorder_client: Client, board, monkeypatch
):
    monkeypatch.setattr(queries, "MOST_TILES", 2)
    series = SeriesFactory()
    for _ in range(3):
        fired(series=series)
    answer = recorder_client.get(
        f"/boards/{board.pk}/lay-out/", {"across": "cone", "down": "body", "series": series.pk}
    )
    page = " ".join(answer.content.decode().split())

    assert "only the newest were looked through; 1 older one was not." in page

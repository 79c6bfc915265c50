"""A load drawn to scale: proposed, moved by hand, undone, two people at once; and its sheet."""

import pytest
from django.urls import reverse

from firings.preferences import Preferences
from tests.counting import queries_of
from tests.factories import (
    CONE_6,
    CONE_10,
    FiringFactory,
    GlazeFactory,
    SeriesFactory,
    ShelfFactory,
    TileFactory,
    TileFormFactory,
    WitnessConeFactory,
    glaze_tile,
)
from tiles.loading import queries, services
from tiles.loading.moves import Move, named
from tiles.loading.paper.queries import LOAD_SHEET, load_facts
from tiles.loading.paper.sheet import sheets
from tiles.models import Placement
from tiles.prints.kinds import Asked
from tiles.prints.marks import Words

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelves():
    low = ShelfFactory(position=1, width_mm=400, depth_mm=300, height_mm=150)
    return low, ShelfFactory(kiln=low.kiln, position=2, width_mm=400, depth_mm=300, height_mm=150)


@pytest.fixture
def firing(shelves):
    return FiringFactory(number=231, kiln=shelves[0].kiln)


def glazed(count=1, glaze=None, **tile):
    glaze = glaze or GlazeFactory()
    return [glaze_tile(TileFactory(**tile), (glaze, {"band 1": 1})) for _ in range(count)]


def put(firing, tiles, shelf=None, place="", *, by):
    services.place_tiles(firing, [tile.pk for tile in tiles], shelf, place, False, by=by)


def address(name, firing, *more):
    return reverse(f"tiles:loading:{name}", args=[firing.number, *more])


def seen_as(placement):
    return f"t{placement.pk}.{queries.mark_of(Placement.history, [placement.pk])}"


def moved_to(client, firing, piece, shelf, x="", y=""):
    sent = {"piece": piece, "shelf": shelf.pk if shelf else "", "x_mm": x, "y_mm": y}
    return client.post(address("move", firing), sent, follow=True)


def test_a_proposal_gives_every_tile_a_place_runners_low_and_on_cookies(
    recorder_client, recorder, firing, shelves
):
    runners = glazed(3, GlazeFactory(name="Low Tide", known_runner=True))
    put(firing, [*glazed(8), *runners], by=recorder)
    answer = recorder_client.post(address("propose", firing), follow=True)
    rows = Placement.objects.filter(firing=firing)

    assert "11 tiles have a place as proposed" in answer.content.decode()
    assert all(row.x_mm is not None and row.place and row.proposed for row in rows)
    low = rows.filter(tile__in=runners)
    assert {(row.shelf, row.on_cookie) for row in low} == {(shelves[0], True)}
    assert "is known to run" not in answer.content.decode()


def test_what_a_person_placed_stays_and_a_proposal_is_undone_in_one_step(
    recorder_client, recorder, firing, shelves
):
    (by_hand,), others = glazed(), glazed(5)
    put(firing, [by_hand, *others], by=recorder)
    mine = Placement.objects.get(tile=by_hand)
    moved_to(recorder_client, firing, seen_as(mine), shelves[1], 60, 120)
    done = services.propose_load(firing, by=recorder)
    mine.refresh_from_db()

    assert (mine.shelf, mine.x_mm, mine.y_mm, mine.place, mine.proposed) == (
        shelves[1],
        60,
        120,
        "left",
        False,
    )
    assert Placement.objects.filter(firing=firing, x_mm__isnull=False).count() == 6
    recorder_client.post(address("undo", firing, *done.undo))
    assert [row.tile for row in Placement.objects.filter(firing=firing, x_mm__isnull=False)] == [by_hand]


def test_a_tile_put_on_a_shelf_by_words_stays_on_that_shelf_near_there(recorder, firing, shelves):
    (tile,) = glazed()
    put(firing, [tile], shelves[1], "front right", by=recorder)
    services.propose_load(firing, by=recorder)
    row = Placement.objects.get(tile=tile)

    assert (row.shelf, row.place, row.proposed) == (shelves[1], "front right", False)
    assert row.x_mm is not None


def test_a_tile_taller_than_the_room_and_more_than_there_is_room_for_are_told_with_the_reason(
    recorder_client, recorder, firing
):
    tall = glazed(1, form=TileFormFactory(upright=True, height_mm=170))
    put(firing, tall, by=recorder)
    page = recorder_client.post(address("propose", firing), follow=True).content.decode()

    assert (
        f"No place for {tall[0].label}. It stands 170 mm high, more than the 150 mm above any shelf" in page
    )
    plates = glazed(3, form=TileFormFactory(upright=False, width_mm=390, height_mm=290))
    put(firing, plates, by=recorder)
    page = recorder_client.post(address("propose", firing), follow=True).content.decode()
    assert "No room is left on any shelf it fits." in page


def test_a_plan_s_shelf_is_kept(recorder, firing, shelves):
    series = SeriesFactory()
    tiles = glazed(4, series=series)
    series.plan = {"made": [{"tiles": [[tile.number, 1, 2 - n % 2] for n, tile in enumerate(tiles)]}]}
    series.save()
    put(firing, tiles, by=recorder)
    services.propose_load(firing, by=recorder)
    stood = {row.tile_id: row.shelf.position for row in Placement.objects.filter(firing=firing)}

    assert [stood[tile.pk] for tile in tiles] == [2, 1, 2, 1]


def test_a_move_is_kept_at_once_with_its_place_in_words_and_undone_in_one_step(
    recorder_client, recorder, firing, shelves
):
    (tile,) = glazed()
    put(firing, [tile], shelves[0], "back", by=recorder)
    row = Placement.objects.get(tile=tile)
    page = moved_to(recorder_client, firing, seen_as(row), shelves[1], 330, 250).content.decode()
    row.refresh_from_db()

    assert (row.shelf, row.x_mm, row.y_mm, row.place) == (shelves[1], 330, 250, "front right")
    last = Placement.history.filter(id=row.pk).latest("history_id").history_id
    assert address("undo", firing, last, last) in page
    recorder_client.post(address("undo", firing, last, last))
    row.refresh_from_db()
    assert (row.shelf, row.x_mm, row.place) == (shelves[0], None, "back")


def test_results_follow_where_their_tile_stands(recorder, firing, shelves):
    (tile,) = glazed()
    put(firing, [tile], shelves[0], "back", by=recorder)
    row = Placement.objects.get(tile=tile)
    mark = queries.mark_of(Placement.history, [row.pk])
    services.move_tile(firing, row.pk, mark, Move(shelves[1], 330, 250), by=recorder)

    assert {outcome.shelf for outcome in row.outcomes.all()} == {shelves[1]}


def test_of_two_people_who_move_one_tile_the_second_is_told_and_nothing_is_overwritten(
    recorder_client, recorder, keeper, firing, shelves
):
    (tile,) = glazed()
    put(firing, [tile], shelves[0], "back", by=recorder)
    row = Placement.objects.get(tile=tile)
    seen = seen_as(row)
    services.move_tile(firing, row.pk, named(seen).mark, Move(shelves[1], 10, 10), by=keeper)
    page = moved_to(recorder_client, firing, seen, shelves[0], 200, 200).content.decode()
    row.refresh_from_db()

    assert (row.shelf, row.x_mm) == (shelves[1], 10)
    assert (
        f"Tile {tile.label} was moved meanwhile by {keeper}: shelf 2, back left. Your move was not kept"
        in page
    )


@pytest.mark.parametrize(
    ("piece", "x", "y", "said"),
    [
        (None, 390, 10, "would reach over the edge of shelf 2"),
        (None, "wide", 10, "Nothing was moved"),
        (None, 10, 9999, "Nothing was moved"),
        ("t1.x", 10, 10, "That is no piece of this load"),
        ("", 10, 10, "Nothing was moved"),
        ("t999999.1", 10, 10, "was taken out of this firing meanwhile"),
        ("c999999.1", 10, 10, "were changed meanwhile"),
    ],
)
def test_what_cannot_be_moved_stays_and_says_why(
    recorder_client, recorder, firing, shelves, piece, x, y, said
):
    (tile,) = glazed()
    put(firing, [tile], shelves[0], "back", by=recorder)
    row = Placement.objects.get(tile=tile)
    page = moved_to(recorder_client, firing, seen_as(row) if piece is None else piece, shelves[1], x, y)
    row.refresh_from_db()

    assert said in page.content.decode()
    assert (row.shelf, row.x_mm) == (shelves[0], None)


def test_without_a_spot_the_first_free_one_from_the_back_is_taken(recorder_client, recorder, firing, shelves):
    first, second = glazed(2)
    put(firing, [first, second], by=recorder)
    for tile in (first, second):
        moved_to(recorder_client, firing, seen_as(Placement.objects.get(tile=tile)), shelves[0])
    spots = [(row.x_mm, row.y_mm) for row in Placement.objects.order_by("tile__number")]

    assert spots[0] == (0, 0)
    assert spots[1] != spots[0]
    assert "lie over each other" not in recorder_client.get(address("firing", firing)).content.decode()


def test_witness_cones_have_a_place_too_moved_together_and_undone(recorder_client, recorder, firing, shelves):
    put(firing, glazed(), by=recorder)
    pack = [WitnessConeFactory(firing=firing, shelf=shelves[0], order=order) for order in (28, 30, 31)]
    services.propose_load(firing, by=recorder)
    pack[0].refresh_from_db()
    assert pack[0].y_mm > 200  # at the front, where they are seen
    (row,) = queries.cone_packs(firing)
    piece = row.seen({}).key
    mark = queries.mark_of(type(pack[0]).history, [cone.pk for cone in pack])
    page = moved_to(recorder_client, firing, f"{piece}.{mark}", shelves[1], 0, 0).content.decode()
    spots = {(cone.shelf, cone.x_mm, cone.place) for cone in firing.witness_cones.all()}

    assert spots == {(shelves[1], 0, "back left")}
    assert "Witness cones moved." in page
    last = type(pack[0]).history.latest("history_id").history_id
    recorder_client.post(address("undo_cones", firing, last - 2, last))
    assert {cone.shelf for cone in firing.witness_cones.all()} == {shelves[0]}


def test_a_hundred_more_tiles_ask_no_more_queries(recorder_client, recorder, firing):
    glaze = GlazeFactory()
    put(firing, glazed(2, glaze), by=recorder)
    services.propose_load(firing, by=recorder)
    few = queries_of(recorder_client, address("firing", firing))
    put(firing, glazed(30, glaze), by=recorder)
    services.propose_load(firing, by=recorder)

    assert queries_of(recorder_client, address("firing", firing)) == few


def test_the_load_sheet_has_a_page_a_shelf_with_every_number_and_the_caution(recorder, firing, shelves):
    tiles = glazed(12)
    put(firing, tiles[:6], shelves[0], by=recorder)
    put(firing, tiles[6:], shelves[1], by=recorder)
    WitnessConeFactory(firing=firing, shelf=shelves[0])
    services.propose_load(firing, by=recorder)
    asked = Asked(("231",), {}, Preferences())
    words = [
        mark.text for page in sheets(load_facts(firing, "")) for mark in page.marks if isinstance(mark, Words)
    ]

    assert len(LOAD_SHEET.pages(asked)) == 2
    assert all(words.count(tile.label) == 2 for tile in tiles)  # on the drawing and in the list
    assert any("leave a dry foot" in line for line in words)
    assert LOAD_SHEET.says(asked) == "F-0231"
    with pytest.raises(LookupError):
        LOAD_SHEET.says(Asked(("99999",), {}, Preferences()))


def test_the_load_sheet_says_at_a_tile_that_it_was_meant_for_another_cone(recorder, firing, shelves):
    wrong, right = TileFactory(planned_order=CONE_10), TileFactory(planned_order=CONE_6)
    put(firing, [wrong, right], shelves[0], by=recorder)
    lines = {tile.number: tile.words for shelf in load_facts(firing, "").shelves for tile in shelf.tiles}

    assert lines[wrong.label].endswith("planned for cone\xa010")
    assert "planned" not in lines[right.label]


@pytest.mark.parametrize(
    "words", ["", "t", "t1", "x1.2", "t1-2.3", "c1-.2", "t٣.1", "t1.2 ", "c" + "9" * 40 + ".1"]
)
def test_words_that_name_no_piece_are_refused(words):
    with pytest.raises(ValueError, match="no piece of this load"):
        named(words)

"""A board's map on paper: every slot in its place, to scale where asked, and a code that opens the board."""

import pytest

from firings.preferences import Preferences
from studio.models import Person
from tests.factories import BoardFactory, BoardSlotFactory, TileFactory, TileFormFactory
from tiles.boards.paper.map import MapFacts, SlotFacts, lay_out
from tiles.boards.paper.queries import BOARD_MAP, facts_of
from tiles.boards.queries import board_page
from tiles.prints.kinds import Asked
from tiles.prints.marks import Code, Plate, Words
from tiles.prints.paper import print_pages
from tiles.public import services as public


def words_of(layout) -> str:
    return " ".join(mark.text for mark in layout.marks if isinstance(mark, Words))


def a_map(rows: int, columns: int, *, to_scale: bool = False) -> MapFacts:
    slot = SlotFacts("1042-9", "Harbour ×3", "Dune · cone 6", 70, 110)
    return MapFacts(
        "By the door",
        "",
        tuple("" for _ in range(columns)),
        tuple(("", (slot,) * columns) for _ in range(rows)),
        "https://studio.example/boards/1/",
        to_scale=to_scale,
    )


@pytest.mark.parametrize(("rows", "columns"), [(1, 1), (4, 10), (10, 4), (8, 12)])
@pytest.mark.parametrize("to_scale", [False, True])
def test_every_mark_lies_on_the_paper(rows, columns, to_scale):
    layout = lay_out(a_map(rows, columns, to_scale=to_scale))

    for mark in layout.marks:
        if isinstance(mark, Plate):
            assert mark.box.x_mm >= 9.9
            assert mark.box.right_mm <= layout.width_mm - 9.9
            assert mark.box.bottom_mm <= layout.height_mm - 9.9
    assert words_of(layout).count("1042-9") == rows * columns


def test_to_scale_tiles_keep_their_proportions_and_the_scale_is_said():
    layout = lay_out(a_map(4, 6, to_scale=True))
    tiles = [mark.box for mark in layout.marks if isinstance(mark, Plate) and mark.grey == 0]

    assert len(tiles) == 24
    for box in tiles:
        assert box.height_mm / box.width_mm == pytest.approx(110 / 70)
    assert f"scale 1 : {70 / tiles[0].width_mm:.1f}" in words_of(layout)


def test_a_board_of_very_many_slots_says_that_they_are_small():
    assert any("for each" in note.sentence for note in lay_out(a_map(40, 40)).notes)


def code_of(board) -> str:
    asked = Asked((str(board.pk),), {}, Preferences())
    (page,) = BOARD_MAP.pages(asked)
    assert print_pages([page], title="map").pdf.startswith(b"%PDF")
    facts = facts_of(board_page(board, Preferences()), Preferences(), to_scale=False)
    return next(mark.content for mark in lay_out(facts).marks if isinstance(mark, Code))


@pytest.mark.django_db
def test_its_code_opens_the_public_page_where_the_board_has_one(keeper: Person):
    board = BoardFactory()
    BoardSlotFactory(board=board, row=1, column=1, tile=TileFactory(form=TileFormFactory()))
    for_the_studio = code_of(board)
    page = public.publish(by=keeper, board=board)

    assert for_the_studio.endswith(f"/boards/{board.pk}/")
    assert code_of(board).endswith(f"/p/{page.token}/")


@pytest.mark.django_db
def test_a_board_that_is_gone_is_said_to_be_gone():
    with pytest.raises(LookupError, match="not in the logbook"):
        BOARD_MAP.pages(Asked(("999",), {}, Preferences()))

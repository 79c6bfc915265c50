"""Rows that shrink together."""

from tiles.prints.fit import Type
from tiles.prints.fonts import Typeface
from tiles.prints.marks import Layout, Note, Words, gathered
from tiles.prints.rows import Cell, Row, paragraph, scale_for, set_rows
from tiles.prints.stock import Box

KIND = Type(Typeface.NARROW, 10, 5)
LONG = "3 coats Harbour brushed over 1 coat Flux L, on Dune speckled; target cone 6, oxidation, no hold"


def test_rows_keep_their_size_where_there_is_room():
    assert scale_for(lambda scale: [paragraph("line", LONG, KIND, 60)], 40) == 1


def test_rows_shrink_together_until_all_fit():
    layout, rows = Layout("1042-9", 40, 20), [paragraph("line", LONG, KIND, 40, gap_mm=1) for _ in range(3)]
    end_mm = set_rows(layout, lambda scale: rows, Box(0, 0, 40, 20))
    sizes = {mark.size_pt for mark in layout.marks if isinstance(mark, Words)}

    assert layout.notes == []
    assert end_mm <= 20.01
    assert len(sizes) == 1
    assert 5 <= sizes.pop() < 10


def test_what_has_no_room_even_at_the_floor_is_one_note():
    layout, rows = (
        Layout("1042-9", 30, 4),
        [paragraph("line", LONG, KIND, 30), paragraph("remark", "Keep.", KIND, 30)],
    )
    set_rows(layout, lambda scale: rows, Box(0, 0, 30, 4))

    (note,) = layout.notes
    assert note.number == "1042-9"
    assert "remark “Keep.”" in note.sentence


def test_cells_stand_beside_one_another_and_the_next_row_below_the_tallest():
    layout = Layout("1042-9", 60, 40)
    row = Row((Cell("zone", "back", KIND, 0, 15), Cell("judgement", LONG, KIND, 15, 45)))
    set_rows(layout, lambda scale: [row, paragraph("end", "End", KIND, 60)], Box(0, 0, 60, 40))
    words = {mark.text: mark for mark in layout.marks if isinstance(mark, Words)}
    judged = [mark for mark in layout.marks if isinstance(mark, Words) and mark.x_mm == 15]

    assert words["back"].baseline_mm == judged[0].baseline_mm
    assert words["End"].baseline_mm > judged[-1].baseline_mm


def test_notes_that_say_the_same_are_told_once_with_their_numbers():
    notes = [Note(f"{n}-0", "The same.") for n in range(8)] + [Note("9-1", "Another.")]

    assert gathered(notes) == [
        Note("0-0, 1-0, 2-0, 3-0, 4-0 and 3 more", "The same."),
        Note("9-1", "Another."),
    ]

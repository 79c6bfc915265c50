"""What a box of the sheet means: one figure for all zones, or one for each."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.glazing.typed import read, written
from tiles.recording.grid import Amount


@given(st.lists(st.integers(1, 20), min_size=1, max_size=8))
def test_what_was_planned_reads_as_it_was_planned(coats):
    amounts = [Amount(coats=count) for count in coats]

    assert read(written(amounts), "brush", [str(place) for place in range(len(coats))]) == amounts


def test_a_zone_left_out_is_a_dash_or_nought():
    assert read("1 - 0", "brush", ["a", "b", "c"]) == [Amount(coats=1), None, None]


def test_an_empty_box_is_a_layer_left_out():
    assert read("  ", "brush", ["a", "b"]) == [None, None]


def test_dips_are_seconds():
    assert read("3 2,5", "dip", ["a", "b"]) == [Amount(dip_s=Decimal(3)), Amount(dip_s=Decimal("2.5"))]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1 2", "One figure for all, or 3 of them: a, b, c."),
        ("two", "Write whole coats, 1 to 20, or leave it empty."),
        ("21", "At most 20 coats of one layer."),
        ("3s", "This layer is brushed: write coats, such as 3, or choose dipped."),
    ],
)
def test_a_slip_says_what_to_write(text, says):
    with pytest.raises(ValueError, match=says[:30]):
        read(text, "brush", ["a", "b", "c"])

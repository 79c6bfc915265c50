"""Lengths as people read them off a packet of labels."""

from decimal import Decimal

import pytest

from tiles.prints.lengths import read_mm


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("63.5", "63.50"),
        ("63,5 mm", "63.50"),
        (" 210MM ", "210.00"),
        ("1 in", "25.40"),
        ("2 5/8 in", "66.68"),
        ("2⅝ in", "66.68"),
        ('2-5/8"', "66.68"),
        ("8.5 inches", "215.90"),
        ("½″", "12.70"),
    ],
)
def test_millimetres_and_inches_are_read(typed, mm):
    # The inch is 25.4 mm by the international agreement of 1959.
    assert read_mm(typed) == Decimal(mm)


@pytest.mark.parametrize("typed", ["wide", "2 5/0 in", "12 ft", "--3", "in"])
def test_what_is_no_length_is_refused(typed):
    with pytest.raises(ValueError, match="is not a figure"):
        read_mm(typed)

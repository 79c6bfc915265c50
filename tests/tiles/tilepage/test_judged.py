"""What was seen, in words."""

from dataclasses import dataclass
from decimal import Decimal

import pytest

from tiles.colour.swatch import hex_of
from tiles.tilepage.judged import judged_words, length_words


@dataclass
class Seen:
    surface: str = ""
    opacity: str = ""
    run_mm: Decimal | None = None
    runs_off: bool = False
    pooling: str = ""
    breaking: str = ""


@pytest.mark.parametrize(
    ("seen", "words"),
    [
        (Seen(), ""),
        (Seen("satin", "opaque", Decimal("2.0")), "satin, opaque, run 2 mm"),
        (Seen("semi", run_mm=Decimal(0)), "semi-gloss, no run"),
        (Seen(run_mm=Decimal(12), runs_off=True), "run 12 mm, off the foot"),
        (Seen(runs_off=True), "ran off the foot"),
        (Seen(pooling="marked", breaking="slight"), "marked pooling, breaks over texture, slight"),
        (Seen("matt", pooling="none", breaking="none"), "matt"),
    ],
)
def test_a_judgement_reads_as_a_potter_says_it(seen, words):
    assert judged_words(seen).replace("\u00a0", " ") == words


def test_lengths_are_written_as_the_studio_likes_them():
    assert length_words(Decimal("2.54"), "in").replace("\u00a0", " ") == "0.10 in"
    assert length_words(Decimal("2.50")).replace("\u00a0", " ") == "2.5 mm"


@pytest.mark.parametrize(
    ("lab", "shown"),
    [
        # sRGB's own primaries in L*a*b* under D50: tests/published/srgb_lab.csv
        ((54.29, 80.81, 69.89), "#ff0000"),
        ((87.82, -79.27, 80.99), "#00ff00"),
        ((29.57, 68.29, -112.03), "#0000ff"),
        ((100, 0, 0), "#ffffff"),
        ((0, 0, 0), "#000000"),
    ],
)
def test_a_measured_colour_is_shown_as_the_screen_can(lab, shown):
    assert hex_of(*lab) == shown


def test_a_colour_no_screen_shows_is_clipped():
    assert hex_of(50, 0, -150).endswith("ff")

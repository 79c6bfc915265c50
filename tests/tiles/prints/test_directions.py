"""Lines that run both ways, against another implementation of the same algorithm."""

import pytest
from bidi import get_display
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tiles.prints import shaping

# Letters of every class our lines hold: Latin, Hebrew, Arabic, figures of both kinds, signs, brackets, spaces.
LETTERS = "ab אבג عب 12 ٣٤ +-,.:%°/×·()[]{}<>=“”&"


def shown(line: str) -> str:
    """The letters from left to right on paper, brackets not turned over."""
    runs = shaping.visual_runs(line, ["any face"] * len(line))
    return "".join(run.text[::-1] if run.leftwards else run.text for run in runs)


@settings(max_examples=400, deadline=None)
@given(st.text(alphabet=LETTERS, max_size=24))
@example("Harbour (لعاب) ×3")
@example("سيلادون ×3 + Flux L ×1")
@example("(אב [1) ב] a")
def test_lines_come_in_the_order_another_implementation_gives_them(line):
    # unicode-bidi (Rust) by python-bidi. A line without spaces at its end, as ours are: rule L1 moves those.
    line = line.strip()

    assert shown(line) == get_display(line)


@pytest.mark.parametrize(
    ("line", "on_paper"),
    [
        ("Harbour (לעב) ×3", "Harbour (בעל) ×3"),
        ("לעב ×3", "3× בעל"),
    ],
)
def test_glaze_words_in_two_directions(line, on_paper):
    assert shown(line) == on_paper

"""Columns of figures as loggers write them: decimal comma or point, thousands apart, units behind, words between."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from firings.curves.cells import FIGURE, MISSING_WORDS

Array = NDArray[np.float64]

_GROUPED = {mark: re.compile(rf"[-+−]?\d{{1,3}}(?:{re.escape(mark)}\d{{3}})+") for mark in ".,"}


@dataclass(frozen=True, slots=True)
class Marks:
    """The decimal mark of a column, and whether the other mark, blanks or apostrophes part its thousands."""

    decimal: str = "."
    grouped: bool = False

    @property
    def are_plain(self) -> bool:
        return self.decimal == "." and not self.grouped


def _mark_of_thousands(cells: Sequence[str], mark: str) -> bool:
    """Whether a mark that stands alone parts thousands: always before three figures, and hundreds go without it.

    "998" and "1,004" in one column can only be nine hundred and a thousand; "998,125" and "1,004" are decimals.
    """
    having = [cell for cell in cells if mark in cell]
    bare = [cell for cell in cells if mark not in cell]
    if not having or not all(_GROUPED[mark].fullmatch(cell) for cell in having):
        return False
    if any(cell.count(mark) > 1 for cell in having):
        return True
    return any(len(cell.lstrip("-+−")) == 3 for cell in bare) and all(
        len(cell.lstrip("-+−")) <= 3 for cell in bare
    )


def marks_of(cells: Iterable[str], decimal: str | None = None) -> Marks:
    """The marks of a column, from a sample of its cells, or with the decimal mark that was told.

    >>> marks_of(["998,5", "1.004,0"]), marks_of(["998", "1,004"]), marks_of(["20,5", "21"])
    (Marks(decimal=',', grouped=True), Marks(decimal='.', grouped=True), Marks(decimal=',', grouped=False))
    """
    known = [cell.strip() for cell in cells if FIGURE.fullmatch(cell.strip())]
    if decimal in (",", "."):
        other = "." if decimal == "," else ","
        return Marks(decimal, grouped=any(re.search(rf"[{other} \u00a0\u202f'’]", cell) for cell in known))
    both = [cell for cell in known if "," in cell and "." in cell]
    if both:
        return Marks(max(",.", key=both[0].rfind), grouped=True)
    blanks = any(re.search(r"\d[ \u00a0\u202f'’]\d", cell) for cell in known)
    for mark, other in ((",", "."), (".", ",")):
        if _mark_of_thousands(known, mark):
            return Marks(other, grouped=True)
    decimal = "," if any("," in cell for cell in known) else "."
    return Marks(decimal, grouped=blanks)


def figure_of(cell: str, marks: Marks) -> float:
    """One cell's figure; not a number where it holds none."""
    bare = cell.strip().strip("'\"").strip()
    match = FIGURE.fullmatch(bare)
    if bare.casefold() in MISSING_WORDS or match is None:
        return float("nan")
    digits = bare[: match.start("unit")] if match["unit"] else bare
    digits = re.sub(r"[\s'’°º]|deg\.?", "", digits, flags=re.IGNORECASE).replace("−", "-")
    if marks.grouped:
        digits = digits.replace("," if marks.decimal == "." else ".", "")
    try:
        return float(digits.replace(marks.decimal, "."))
    except ValueError:
        return float("nan")


def figures_of(cells: list[str], marks: Marks) -> Array:
    """A column's figures; not a number where a cell holds none."""
    if not marks.grouped:
        try:
            return _plain_figures(cells, marks)
        except ValueError:
            pass
    return np.array([figure_of(cell, marks) for cell in cells], dtype=float)


def _plain_figures(cells: list[str], marks: Marks) -> Array:
    """All cells at once; raises ValueError where one is no plain figure."""
    if marks.decimal == ",":
        cells = "\n".join(cells).replace(",", ".").split("\n")
    found = np.array(list(map(float, cells)))
    found[~np.isfinite(found)] = np.nan
    return found

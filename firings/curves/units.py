"""Whether a log is in °C or °F: told by its names, its cells, its heading, or guessed from its figures and said."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from firings.curves.cells import FIGURE
from firings.curves.figures import Array
from firings.curves.roles import HOTTEST_TOP_C, words_of
from firings.curves.text import UnreadableCurve
from firings.programmes.segments import Unit

# Hotter than this in °C no pottery kiln is fired: the figures are °F (common practice, no source).
SURELY_FAHRENHEIT_ABOVE = 1450.0
# A cold kiln reads below this in °C and above this in °F.
COLD_C_BELOW, COLD_F_ABOVE = 45.0, 50.0

# Beyond these a figure is no temperature of a kiln in either unit, but the sign of a broken sensor.
LEAST_LIKELY, MOST_LIKELY = -100.0, 6000.0

# A letter behind these tells one of several from the others.
_NAMED_BY_LETTER = {"zone", "probe", "sensor", "channel", "tc", "kiln", "shelf", "ch"}
_CELSIUS = {"c", "°c", "ºc", "degc", "celsius", "centigrade"}
_FAHRENHEIT = {"f", "°f", "ºf", "degf", "fahrenheit"}
_DEGREES = {"°", "º", "deg", "degree", "degrees", "grad", "unit", "units"}
_UNIT_LINE = re.compile(
    r"(?:unit|temp|scale|degree|einheit)\w*[^\n]{0,20}?[\s:=,;\t\"(\[](°|º|deg\.?\s?)?(c|f|celsius|fahrenheit)\b",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Scale:
    """The unit of a sensor's figures and how it is known; `guess` where no one told it."""

    unit: Unit
    basis: str
    guess: str = ""

    def celsius(self, figures: Array) -> Array:
        return figures if self.unit is Unit.CELSIUS else (figures - 32) / 1.8


def refuse_kelvin(name: str, cells: Iterable[str]) -> None:
    """Refuse a sensor in kelvin.

    Raises
    ------
    UnreadableCurve : says what to export
    """
    units = [match["unit"] for cell in cells if (match := FIGURE.fullmatch(cell.strip()))]
    told = "kelvin" in words_of(name) or re.search(r"[\[(]\s*K\s*[\])]", name)
    if told or any(unit in ("k", "K") for unit in units):
        raise UnreadableCurve(f"{name} is in kelvin; export it in °C or °F.")


def unit_in(name: str) -> Unit | None:
    """The unit that a column's name holds.

    >>> unit_in("Top (°F)"), unit_in("temp_c"), unit_in("Zone C top"), unit_in("Kiln F"), unit_in("Kiln (F)")
    (<Unit.FAHRENHEIT: 'F'>, <Unit.CELSIUS: 'C'>, None, None, <Unit.FAHRENHEIT: 'F'>)
    """
    words = words_of(name)
    for place, word in enumerate(words):
        bracketed = re.search(rf"[\[(]\s*{word}\s*[\])]", name, re.IGNORECASE) is not None
        # A letter alone is a unit at the end or in brackets, not where it names a zone.
        if (
            len(word) == 1
            and not bracketed
            and (place < len(words) - 1 or words[place - 1] in _NAMED_BY_LETTER)
        ):
            continue
        if word in _CELSIUS:
            return Unit.CELSIUS
        if word in _FAHRENHEIT:
            return Unit.FAHRENHEIT
    return None


def unit_of_cells(cells: Iterable[str]) -> Unit | None:
    """The unit that most cells carry behind their figure."""
    found = [
        match["unit"].upper() for cell in cells if (match := FIGURE.fullmatch(cell.strip())) and match["unit"]
    ]
    told = {unit for unit in found if unit in "CF"}
    return Unit(told.pop()) if len(told) == 1 else None


def unit_of_heading(lines: Sequence[str]) -> Unit | None:
    """The unit that the lines above the table name."""
    found = {match[2][0].upper() for line in lines for match in _UNIT_LINE.finditer(line)}
    return Unit(found.pop()) if len(found) == 1 else None


def top_of(figures: Array) -> float:
    """How hot it got, give or take, spikes and signs of a broken sensor left out; not a number without readings."""
    likely = figures[(figures > LEAST_LIKELY) & (figures < MOST_LIKELY)]
    return float(np.quantile(likely, 0.97)) if len(likely) else float("nan")


def guessed(figures: Array) -> Scale:
    """The unit that suits the figures: how hot the top is, and how cold the kiln was at first.

    Raises
    ------
    UnreadableCurve : hotter than any kiln in either unit
    """
    known = figures[np.isfinite(figures)]
    few = max(3, len(known) // 100)
    top, starts, ends = top_of(figures), float(np.median(known[:few])), float(np.median(known[-few:]))
    if top > SURELY_FAHRENHEIT_ABOVE:
        return Scale(
            Unit.FAHRENHEIT, "guessed", f"no unit is named; read as °F, since {top:.0f} °C is no kiln’s"
        )
    # A log written with its newest row first ends where it began.
    if min(starts, ends) < COLD_F_ABOVE:
        where = f"starts at {starts:.0f}" if starts < COLD_F_ABOVE else f"ends at {ends:.0f}"
        return Scale(Unit.CELSIUS, "guessed", f"no unit is named; read as °C, as it {where}")
    words = f"no unit is named and both would do: {top:.0f} read as °C; if it is °F, say so"
    return Scale(Unit.CELSIUS, "guessed", words)


def check_top(name: str, scale: Scale, figures: Array) -> None:
    """Refuse figures that no kiln reaches in their unit.

    Raises
    ------
    UnreadableCurve : names the column and what to choose
    """
    top = top_of(scale.celsius(figures))
    if not top <= HOTTEST_TOP_C:
        other = Unit.FAHRENHEIT if scale.unit is Unit.CELSIUS else Unit.CELSIUS
        raise UnreadableCurve(
            f"{name} reaches {top:.0f} °C when read as °{scale.unit}, hotter than any kiln; if it is °{other}, say so."
        )

"""A programme written as one line: ``60:1000, 60:1222, 0:10`` is two ramps of 60 °C/h and ten minutes' hold.

A ramp is rate:temperature, with a hold in minutes after it if you like (``60:1222:10``, ``60:1222 hold 10``); 0:minutes
holds where the kiln is. ``fast:600`` goes as fast as the kiln can. To cool, write a lower temperature (``150:1100``).
°F is told by the letter (``108F:2232F``) or for the whole line by its unit. Segments stand apart by commas; by
semicolons or on lines of their own they may have decimal commas.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from firings.units import read_figure

HOTTEST_C = 1800.0
FASTEST_C_PER_H = 5000.0
LONGEST_HOLD_MIN = 6000.0
ROOM_C = 20.0

_HOLD = re.compile(r"\s*\bhold\b\s*", re.IGNORECASE)
_FAST = {"fast", "full", "max"}
_FIGURE = re.compile(r"([-+−]?[\d\s.,]+?)\s*(?:°|º|deg)?\s*([cf])?(?:\s*/\s*h)?", re.IGNORECASE)
_HOURS_AND_MINUTES = re.compile(
    r"(?:(\d+(?:[.,]\d+)?)\s*h)?\s*(?:(\d+(?:[.,]\d+)?)\s*(?:m|min)?)?", re.IGNORECASE
)


class Unit(StrEnum):
    """Of temperatures and rates."""

    CELSIUS = "C"
    FAHRENHEIT = "F"


class UnreadableProgramme(ValueError):
    """A line that is no programme; the message says which segment and what to write."""


@dataclass(frozen=True, slots=True)
class Segment:
    """One ramp and the hold at its end. `rate_c_per_h` has no sign, up or down; None is as fast as the kiln can."""

    rate_c_per_h: float | None
    target_c: float
    hold_min: float = 0.0


def celsius(temp_f: float) -> float:
    """
    >>> celsius(2232.0)
    1222.2222222222222
    """
    return (temp_f - 32) / 1.8


def fahrenheit(temp_c: float) -> float:
    return temp_c * 1.8 + 32


def _figure(text: str, words: str) -> tuple[float, Unit | None]:
    """A figure and the unit at its end, if any."""
    match = _FIGURE.fullmatch(text.strip())
    if not match:
        raise UnreadableProgramme(f"{text.strip()!r} is not {words}.")
    try:
        figure = float(read_figure(match[1]))
    except ValueError:
        raise UnreadableProgramme(f"{text.strip()!r} is not {words}.") from None
    return figure, Unit(match[2].upper()) if match[2] else None


def read_minutes(text: str) -> float:
    """Minutes as people write a hold: 10, 10 min, 1h, 1h30.

    Raises
    ------
    UnreadableProgramme : no length of time, or a longer one than any firing holds

    >>> read_minutes("1h30"), read_minutes("10 min")
    (90.0, 10.0)
    """
    match = _HOURS_AND_MINUTES.fullmatch(text.strip())
    if not match or not any(match.groups()):
        raise UnreadableProgramme(f"{text.strip()!r} is not a hold; write minutes, such as 10 or 1h30.")
    hours, minutes = (float((part or "0").replace(",", ".")) for part in match.groups())
    if (total := hours * 60 + minutes) > LONGEST_HOLD_MIN:
        raise UnreadableProgramme(f"a hold of {total:.0f} min is longer than {LONGEST_HOLD_MIN:.0f} min.")
    return total


def _unit_of(told: Unit | None, other: Unit | None, otherwise: Unit) -> Unit:
    if told and other and told is not other:
        raise UnreadableProgramme(
            "rate and temperature are in different units; write both in °C or both in °F."
        )
    return told or other or otherwise


def _rate(text: str, unit: Unit) -> float | None:
    """Rate in °C/h, signed as written; None for as fast as possible."""
    if text.strip().casefold() in _FAST:
        return None
    rate = _figure(text, "a rate; write degrees an hour, or fast")[0]
    return rate if unit is Unit.CELSIUS else rate / 1.8


def _target(figure: float, unit: Unit) -> float:
    target_c = figure if unit is Unit.CELSIUS else celsius(figure)
    if not 0 <= target_c <= HOTTEST_C:
        raise UnreadableProgramme(f"{figure:g} °{unit} is no temperature for a kiln; write 0 to 1800 °C.")
    return target_c


def _checked_rate(rate: float | None, from_c: float, to_c: float) -> float | None:
    """The rate without its sign, refused where it cannot lead from one temperature to the other."""
    if abs(to_c - from_c) < 1e-9:
        raise UnreadableProgramme(f"it stays at {to_c:g} °C; write 0:minutes for a hold.")
    if rate is None:
        return None
    if rate < 0 < to_c - from_c:
        raise UnreadableProgramme(f"a falling rate does not lead up from {from_c:g} to {to_c:g} °C.")
    if not 0.1 <= abs(rate) <= FASTEST_C_PER_H:
        raise UnreadableProgramme(f"{abs(rate):g} °C/h is no rate for a kiln; write 0.1 to 5000, or fast.")
    return abs(rate)


def _ramp(parts: Sequence[str], from_c: float, unit: Unit) -> Segment:
    rate_text, target_text, *hold = parts
    fast = rate_text.strip().casefold() in _FAST
    rate_unit = None if fast else _figure(rate_text, "a rate; write degrees an hour, or fast")[1]
    figure, told = _figure(target_text, "a temperature")
    unit = _unit_of(told, rate_unit, unit)
    target_c = _target(figure, unit)
    rate = _checked_rate(_rate(rate_text, unit), from_c, target_c)
    return Segment(rate, target_c, read_minutes(hold[0]) if hold else 0.0)


def _is_hold(parts: Sequence[str]) -> bool:
    return re.fullmatch(r"[-+]?0*[.,]?0+", parts[0].strip()) is not None


def _with_hold(segments: list[Segment], parts: Sequence[str]) -> Segment:
    if not segments:
        raise UnreadableProgramme("a hold needs a ramp before it; write the temperature to hold first.")
    if len(parts) > 2:
        raise UnreadableProgramme("a hold is 0:minutes, nothing more.")
    held = segments[-1].hold_min + read_minutes(parts[1])
    if held > LONGEST_HOLD_MIN:
        raise UnreadableProgramme(f"a hold of {held:.0f} min is longer than {LONGEST_HOLD_MIN:.0f} min.")
    return replace(segments[-1], hold_min=held)


def _add(segments: list[Segment], piece: str, start_c: float, unit: Unit) -> None:
    parts = re.sub("^:", "0:", _HOLD.sub(":", piece)).split(":")
    if len(parts) not in (2, 3):
        raise UnreadableProgramme(
            f"{piece!r} is no segment; write rate:temperature, or 0:minutes for a hold."
        )
    if _is_hold(parts):
        segments[-1:] = [_with_hold(segments, parts)]
    else:
        segments.append(_ramp(parts, segments[-1].target_c if segments else start_c, unit))


def _pieces(text: str) -> list[str]:
    """The segments' texts; commas part them only where neither semicolons nor lines do."""
    mark = r"[;\n]" if re.search(r"[;\n]", text.strip().strip(";")) else r"[,;]"
    return [piece for part in re.split(mark, text) if (piece := part.strip().strip(",").strip())]


def read(text: str, *, unit: Unit = Unit.CELSIUS, start_c: float = ROOM_C) -> tuple[Segment, ...]:
    """A programme from its line.

    Parameters
    ----------
    unit : of figures that do not name their own
    start_c : where the kiln stands at the beginning [°C]

    Raises
    ------
    UnreadableProgramme : names the segment and what to write

    >>> read("60:1000, 60:1222, 0:10")[1]
    Segment(rate_c_per_h=60.0, target_c=1222.0, hold_min=10.0)
    >>> read("fast:212F, 108F:1832F:1h30")[1]
    Segment(rate_c_per_h=60.0, target_c=1000.0, hold_min=90.0)
    """
    segments: list[Segment] = []
    for place, piece in enumerate(_pieces(text), start=1):
        try:
            _add(segments, piece, start_c, unit)
        except UnreadableProgramme as trouble:
            raise UnreadableProgramme(f"Segment {place}: {trouble}") from None
    if not segments:
        raise UnreadableProgramme(
            "Write a programme such as 60:1000, 60:1222, 0:10 (rate:temperature, 0:minutes)."
        )
    return tuple(segments)


def _plain(figure: float) -> str:
    return f"{figure:.6f}".rstrip("0").rstrip(".")


def _written(segment: Segment, unit: Unit) -> str:
    rate, target, letter = segment.rate_c_per_h, segment.target_c, ""
    if unit is Unit.FAHRENHEIT:
        rate, target, letter = rate and rate * 1.8, fahrenheit(target), "F"
    pace = "fast" if rate is None else f"{_plain(rate)}{letter}"
    hold = f",0:{_plain(segment.hold_min)}" if segment.hold_min else ""
    return f"{pace}:{_plain(target)}{letter}{hold}"


def write(segments: Sequence[Segment], *, unit: Unit = Unit.CELSIUS) -> str:
    """The line of a programme; `read` gives the same segments back.

    >>> write([Segment(None, 100.0), Segment(60.0, 1222.0, 10.0)])
    'fast:100,60:1222,0:10'
    """
    return ",".join(_written(segment, unit) for segment in segments)

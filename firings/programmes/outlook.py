"""What a programme comes to, in words for the screen: its segments by the clock, its cone, its time, what it costs."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from firings.cones import series
from firings.estimate import Estimate
from firings.heatwork.limits import ALWAYS
from firings.heatwork.predict import (
    ASSUMED_FALL_C_PER_H,
    ASSUMED_RISE_C_PER_H,
    KilnFigures,
    Prediction,
    pieces_of,
    predict,
)
from firings.notice import said_in
from firings.programmes.segments import ROOM_C, Segment, Unit
from firings.programmes.words import clock_words, duration_words, rate_words, temp_words

CAUTION = "Forecast only. Watch the kiln and read the witness cones."
TOO_COOL = "cooler than cone 019"


@dataclass(frozen=True, slots=True)
class SegmentLine:
    """One segment by the clock: all in words. `is_assumed` where its pace is not the kiln's own."""

    number: int
    leads: str
    pace: str
    is_assumed: bool
    target: str
    takes: str
    reached_at: str
    hold: str
    done_at: str


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a programme comes to, in words; empty words where nothing is known."""

    lines: tuple[SegmentLine, ...]
    cone: str
    band: str
    basis: str
    duration: str
    top: str
    held: str
    off_at: str
    energy: str
    cost: str
    cost_basis: str
    warnings: tuple[str, ...]
    limits: tuple[str, ...]
    starts: str
    prediction: Prediction


def cone_words(number: float) -> str:
    """A decimal cone to a tenth, in words.

    >>> cone_words(6.14), cone_words(-3.39)
    ('6.1', '0.6 past 05')
    """
    return series.number_words(Decimal(str(number)))


def band_words(number: Estimate) -> str:
    """The interval in words; the ladder ends at cone 14 and begins at 019.

    >>> band_words(Estimate(6.1, 5.72, 6.6, None, ""))
    '5.7 to 6.6'
    """
    return f"{cone_words(number.low)} to {cone_words(number.high)}"


def _leads(from_c: float, to_c: float) -> str:
    return "up" if to_c > from_c else "down"


def _pace(segment: Segment, leads: str, kiln: KilnFigures, unit: Unit) -> tuple[str, bool]:
    """The pace in words, and whether it is assumed."""
    if segment.rate_c_per_h:
        return rate_words(segment.rate_c_per_h, unit), False
    own, usual = (
        (kiln.fastest_rise_c_per_h, ASSUMED_RISE_C_PER_H)
        if leads == "up"
        else (kiln.fastest_fall_c_per_h, ASSUMED_FALL_C_PER_H)
    )
    if own:
        return f"as fast as possible ({rate_words(own, unit)})", False
    return f"as fast as possible (taken as {rate_words(usual, unit)})", True


def lines_of(segments: Sequence[Segment], kiln: KilnFigures, unit: Unit) -> tuple[SegmentLine, ...]:
    """Each segment with the time it takes and the time since the start."""
    pieces = iter(pieces_of(segments, kiln, ROOM_C))
    lines: list[SegmentLine] = []
    passed_h = 0.0
    for number, segment in enumerate(segments, start=1):
        ramp = next(pieces)
        hold_h = next(pieces).hours if segment.hold_min else 0.0
        leads = _leads(ramp.from_c, ramp.to_c)
        reached_h = passed_h + ramp.hours
        passed_h = reached_h + hold_h
        lines.append(
            SegmentLine(
                number,
                leads,
                *_pace(segment, leads, kiln, unit),
                temp_words(segment.target_c, unit),
                duration_words(ramp.hours),
                clock_words(reached_h),
                duration_words(hold_h) if hold_h else "",
                clock_words(passed_h),
            )
        )
    return tuple(lines)


def estimate_words(estimate: Estimate | None, unit: str = "", digits: int = 0) -> str:
    """A figure with its interval.

    >>> estimate_words(Estimate(61.3, 52.0, 70.6, None, ""), " kWh")
    '61 kWh, 52 to 71'
    """
    if estimate is None:
        return ""
    return f"{estimate.value:.{digits}f}{unit}, {estimate.low:.{digits}f} to {estimate.high:.{digits}f}"


def outlook_of(segments: Sequence[Segment], unit: Unit, kiln: KilnFigures | None = None) -> Outlook:
    """What a programme comes to.

    Raises
    ------
    ValueError : no segments

    >>> found = outlook_of([Segment(60.0, 1222.0, 15.0)], Unit.CELSIUS)
    >>> found.cone, found.duration, found.lines[0].reached_at
    ('6.9', '20 h 17 min', '20:02')
    """
    kiln = kiln or KilnFigures()
    found = predict(segments, kiln=kiln)
    equivalent, number = found.equivalent, found.equivalent.number
    return Outlook(
        lines=lines_of(segments, kiln, unit),
        cone=cone_words(number.value) if number else TOO_COOL,
        band=band_words(number) if number else "",
        basis=said_in(number.basis, unit) if number else "",
        duration=duration_words(found.duration_h),
        top=temp_words(equivalent.peak_c, unit),
        held=duration_words(equivalent.held_min / 60) if equivalent.held_min >= 1 else "",
        off_at=clock_words(equivalent.switched_off_s / 3600),
        energy=estimate_words(found.energy_kwh, " kWh"),
        cost=estimate_words(found.cost, digits=2),
        cost_basis=found.energy_kwh.basis if found.energy_kwh else "",
        warnings=tuple(words.words(unit) for words in found.warnings),
        limits=ALWAYS,
        starts=temp_words(ROOM_C, unit),
        prediction=found,
    )

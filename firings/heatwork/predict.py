"""What a programme will do: the cone it amounts to, how long it takes, what energy and money it costs."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from firings.estimate import Estimate
from firings.heatwork.bending import SECONDS_PER_H, Piece, bending_of_pieces
from firings.heatwork.equivalent import Equivalent, HeatWork, amount_of, rate_before
from firings.heatwork.kinetics import ladder
from firings.heatwork.top import TOP_C
from firings.heatwork.uncertainty import Sensor
from firings.notice import Notice, rate
from firings.programmes.segments import ROOM_C, Segment

# Rules of thumb of a pottery school's cost page for electric kilns, share of the time the elements are on: about half
# in a bisque or low firing, 65 % to cone 6, 15 % while preheating; a ceramics supplier's page says 50 to 60 % overall.
PREHEAT_DUTY = 0.15
LOW_FIRE_DUTY, LOW_FIRE_C = 0.50, 1063.0
MID_FIRE_DUTY, MID_FIRE_C = 0.65, 1222.0
DUTY_PM = 0.10
# Preheating ends here [°C]; share while a programme cools (common practice, no source).
PREHEAT_TO_C = 150.0
COOLING_DUTY = 0.15
# Where a programme says as fast as possible and the kiln's own pace is not known [°C/h] (common practice, no source).
ASSUMED_RISE_C_PER_H = 250.0
ASSUMED_FALL_C_PER_H = 150.0


@dataclass(frozen=True, slots=True)
class KilnFigures:
    """What is known of a kiln: power [kW], price of a kWh, its own fastest rise and fall [°C/h], its sensor."""

    power_kw: float | None = None
    price_per_kwh: float | None = None
    fastest_rise_c_per_h: float | None = None
    fastest_fall_c_per_h: float | None = None
    sensor: Sensor = field(default_factory=Sensor)


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a programme amounts to; energy [kWh] and cost are None where power or price are not known."""

    equivalent: Equivalent
    duration_h: float
    energy_kwh: Estimate | None
    cost: Estimate | None
    warnings: tuple[Notice, ...]


def pieces_of(segments: Sequence[Segment], kiln: KilnFigures, start_c: float) -> list[Piece]:
    """The straight pieces of a programme, ramp and hold in turn, holds of no length left out."""
    pieces: list[Piece] = []
    for segment in segments:
        here_c = pieces[-1].to_c if pieces else start_c
        rise = segment.target_c > here_c
        own = kiln.fastest_rise_c_per_h if rise else kiln.fastest_fall_c_per_h
        rate = segment.rate_c_per_h or own or (ASSUMED_RISE_C_PER_H if rise else ASSUMED_FALL_C_PER_H)
        pieces.append(Piece(here_c, segment.target_c, abs(segment.target_c - here_c) / rate))
        if segment.hold_min:
            pieces.append(Piece(segment.target_c, segment.target_c, segment.hold_min / 60))
    return pieces


def pace_words(segments: Sequence[Segment], kiln: KilnFigures, start_c: float) -> list[Notice]:
    """Which paces were assumed."""
    temps = [start_c, *(segment.target_c for segment in segments)]
    fast = [
        to_c > from_c
        for segment, (from_c, to_c) in zip(segments, pairwise(temps), strict=True)
        if not segment.rate_c_per_h
    ]
    words = []
    if True in fast and kiln.fastest_rise_c_per_h is None:
        words.append(
            Notice("As fast as possible is taken as ", rate(ASSUMED_RISE_C_PER_H), " up; kilns differ.")
        )
    if False in fast and kiln.fastest_fall_c_per_h is None:
        words.append(
            Notice("As fast as possible is taken as ", rate(ASSUMED_FALL_C_PER_H), " down; kilns differ.")
        )
    return words


def work_of_pieces(pieces: Sequence[Piece], offset_c: float = 0.0) -> HeatWork:
    """Heat work of a programme; its top is all that lies within 10 °C of its hottest point.

    `offset_c` is how much hotter the ware is than the sensor by which the kiln is driven.
    """
    pieces = [replace(piece, from_c=piece.from_c + offset_c, to_c=piece.to_c + offset_c) for piece in pieces]
    temps = np.array([pieces[0].from_c, *(piece.to_c for piece in pieces)])
    times_s = np.cumsum([0.0, *(piece.hours * SECONDS_PER_H for piece in pieces)])
    top = np.flatnonzero(temps >= temps.max() - TOP_C)
    first, last = int(top[0]), int(top[-1])
    nothing = np.zeros(len(ladder()))
    return HeatWork(
        rise=bending_of_pieces(ladder(), pieces[:first]),
        hold=bending_of_pieces(ladder(), pieces[first:last]),
        cooling=bending_of_pieces(ladder(), pieces[last:]),
        peak_c=float(temps.max()),
        held_min=float(times_s[last] - times_s[first]) / 60,
        rate_c_per_h=rate_before(times_s, temps, first) if first else None,
        switched_off_s=float(times_s[last]),
        unseen_less=nothing,
        unseen_more=nothing,
    )


def duty_at(peak_c: float) -> float:
    """Share of the time the elements are on while rising and holding, by the peak of the firing [°C].

    >>> duty_at(940), duty_at(1222)
    (0.5, 0.65)
    """
    return float(np.interp(peak_c, [LOW_FIRE_C, MID_FIRE_C], [LOW_FIRE_DUTY, MID_FIRE_DUTY]))


def duty_of(piece: Piece, working: float, *, flat_out: bool) -> tuple[float, float, float]:
    """Share of the time the elements are on in one piece: a fair guess, and the least and the most it may be."""
    if piece.to_c < piece.from_c:
        return (0.0, 0.0, 0.0) if flat_out else (COOLING_DUTY, 0.0, working)
    if flat_out:
        return 1.0, working, 1.0
    if piece.to_c <= PREHEAT_TO_C:
        return PREHEAT_DUTY, PREHEAT_DUTY - DUTY_PM, PREHEAT_DUTY + DUTY_PM
    return working, working - DUTY_PM, working + DUTY_PM


def energy_of(pieces: Sequence[Piece], fast: Sequence[bool], power_kw: float | None) -> Estimate | None:
    """Energy [kWh] by rules of thumb for electric kilns."""
    if power_kw is None:
        return None
    working = duty_at(max(piece.to_c for piece in pieces))
    shares = [duty_of(piece, working, flat_out=out) for piece, out in zip(pieces, fast, strict=True)]
    hours = [piece.hours for piece in pieces]
    value, low, high = np.array(hours) @ np.array(shares) * power_kw
    return Estimate(
        float(value), float(low), float(high), None, "rules of thumb for how long elements are on"
    )


def predict(
    segments: Sequence[Segment], *, kiln: KilnFigures | None = None, start_c: float = ROOM_C
) -> Prediction:
    """What a programme amounts to in a kiln that follows it.

    Raises
    ------
    ValueError : no segments

    >>> found = predict([Segment(60.0, 1222.0, 15.0)])
    >>> found.equivalent.at_off.cone.label, round(found.equivalent.at_off.toward_next, 2)
    ('6', 0.87)
    """
    if not segments:
        raise ValueError("A programme needs a segment.")
    kiln = kiln or KilnFigures()
    pieces = pieces_of(segments, kiln, start_c)
    equivalent = amount_of(work_of_pieces(pieces, kiln.sensor.offset_c), kiln.sensor)
    energy = energy_of(pieces, fast_pieces(segments), kiln.power_kw)
    return Prediction(
        equivalent,
        sum(piece.hours for piece in pieces),
        energy,
        energy.times(kiln.price_per_kwh) if energy and kiln.price_per_kwh is not None else None,
        (*equivalent.warnings, *pace_words(segments, kiln, start_c)),
    )


def fast_pieces(segments: Sequence[Segment]) -> list[bool]:
    """Which pieces of `pieces_of` go as fast as possible."""
    return [
        flat_out
        for segment in segments
        for flat_out in (
            [not segment.rate_c_per_h, False] if segment.hold_min else [not segment.rate_c_per_h]
        )
    ]

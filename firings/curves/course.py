"""One curve with all that is drawn of it: temperatures, heat work gathered, the top, the programme, witness cones."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from firings.curves.accumulation import cone_over_time
from firings.curves.cleaning import cleaned
from firings.curves.figures import Array
from firings.curves.together import one_curve
from firings.heatwork.bending import SECONDS_PER_H
from firings.heatwork.predict import KilnFigures, pieces_of
from firings.programmes.segments import ROOM_C, Segment

MOST_OTHERS = 6
# A programme is read this often; a very long one in coarser steps.
ASKED_EVERY_H, MOST_ASKED = 1 / 30, 20_000


@dataclass(frozen=True, slots=True)
class Track:
    """A line over time: hours from the first reading, and °C or decimal cones there."""

    hours: Array
    values: Array
    name: str = ""

    def at(self, hour: float) -> float:
        return float(np.interp(hour, self.hours, self.values))

    @property
    def is_there(self) -> bool:
        return len(self.hours) > 0


@dataclass(frozen=True, slots=True)
class Witness:
    """What the cones at one place say together, as a decimal cone."""

    number: float
    place: str


@dataclass(frozen=True, slots=True)
class Course:
    """A firing's course. `off_h` is when the power went off and `held_h` how long the top was held before it, both
    None where the heat work could not be read."""

    logged: Track
    cones: Track
    others: tuple[Track, ...] = ()
    programme: Track | None = None
    witnesses: tuple[Witness, ...] = ()
    off_h: float | None = None
    held_h: float = 0.0

    @property
    def peak_c(self) -> float:
        return float(self.logged.values.max())

    @property
    def length_h(self) -> float:
        return float(self.logged.hours[-1])

    def passed_h(self, witness: Witness) -> float:
        """When the curve's heat work came to what the witness cones say; at switching off where it never did."""
        off_h = self.length_h if self.off_h is None else self.off_h
        past = np.flatnonzero(self.cones.values >= witness.number)
        return min(float(self.cones.hours[past[0]]), off_h) if len(past) else off_h


def programme_track(segments: Sequence[Segment]) -> Track | None:
    """A programme's line from a cold kiln at nought hours, at its own pace."""
    if not segments:
        return None
    pieces = pieces_of(segments, KilnFigures(), ROOM_C)
    hours = np.cumsum([0.0, *(piece.hours for piece in pieces)])
    return Track(hours, np.array([pieces[0].from_c, *(piece.to_c for piece in pieces)]), "programme")


def asked_course(segments: Sequence[Segment]) -> Course | None:
    """What a programme asks for, read as if a logger had written it down every two minutes; None without segments.

    The cone is what the heat asked for comes to; cooling is not part of it.
    """
    track = programme_track(segments)
    if track is None:
        return None
    longest_h = float(track.hours[-1])
    steps = min(max(int(longest_h / ASKED_EVERY_H), 1), MOST_ASKED)
    hours = np.union1d(np.linspace(0.0, longest_h, steps + 1), track.hours)
    temps = np.interp(hours, track.hours, track.values)
    cone_s, cones = cone_over_time(hours * SECONDS_PER_H, temps)
    return Course(Track(hours, temps, "programme"), Track(cone_s / SECONDS_PER_H, cones))


def other_tracks(times_s: Array, sensors: dict[str, Array]) -> tuple[Track, ...]:
    """Each sensor of several for itself, spikes and drop-outs left out."""
    if len(sensors) < 2:
        return ()
    tracks = []
    for name, temps in list(sensors.items())[:MOST_OTHERS]:
        stands = cleaned(times_s, temps).stands
        if stands.any():
            tracks.append(Track(times_s[stands] / SECONDS_PER_H, temps[stands], name))
    return tuple(tracks)


def course_of(
    times_s: Array,
    sensors: dict[str, Array],
    counting: Sequence[str],
    heat: dict[str, Any],
    segments: Sequence[Segment] = (),
    witnesses: Sequence[Witness] = (),
) -> Course:
    """A curve's course from what is stored of it.

    Parameters
    ----------
    times_s, sensors : times [s] and temperatures [°C] by the sensor's name, not a number where missing
    counting : names of the sensors that count
    heat : what the heat work came to, as `firings.curves.summing` writes it; where it was put right by the kiln's own
        correction, so are the cones that gather, while temperatures stay as logged
    """
    one = one_curve(times_s, {name: sensors[name] for name in counting})
    offset_c = (heat.get("correction") or {}).get("offset_c", 0.0)
    cone_s, cones = cone_over_time(one.times_s, one.temps_c + offset_c)
    off_h = heat.get("switched_off_h")
    return Course(
        Track(one.times_s / SECONDS_PER_H, one.temps_c, "logged"),
        Track(cone_s / SECONDS_PER_H, cones),
        other_tracks(times_s, sensors),
        programme_track(segments),
        tuple(witnesses),
        None if off_h is None else float(off_h),
        float(heat.get("hold_min") or 0) / 60,
    )

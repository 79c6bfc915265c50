"""Readings of a batch with their drift."""

from dataclasses import dataclass

from tiles.laydown.drift import FLOW_BOUND_PCT, SG_BOUND, Drawing, Drift, Reading, drawing, drifts
from tiles.laydown.flowcups import viscosity_mm2_s
from tiles.models import BatchReading, GlazeBatch
from tiles.vocabulary import FlowCup


@dataclass(frozen=True, slots=True)
class Line:
    """A reading and how far it is from the first; the lot's own figures stand as a line without a record."""

    record: BatchReading | None
    reading: Reading
    drift: Drift
    cup_words: str

    @property
    def viscosity(self) -> float | None:
        """What the flow time comes to by the cup's standard [mm²/s]."""
        flow_s = self.reading.flow_s
        return None if flow_s is None else viscosity_mm2_s(self.reading.cup, flow_s)


@dataclass(frozen=True, slots=True)
class BatchSheet:
    """All that was measured on a batch, oldest first, and its drawings."""

    lines: tuple[Line, ...]
    drawings: tuple[Drawing, ...]
    latest_warnings: tuple[str, ...]
    latest_sg: float | None


def batch_sheet(batch: GlazeBatch) -> BatchSheet:
    """The readings of a batch, after what its own record says of the day it was opened; one query."""
    records: list[BatchReading | None] = list(batch.readings.in_time())
    readings = [
        Reading(
            one.taken_on, _float(one.specific_gravity), _float(one.flow_s), one.flow_cup, _float(one.temp_c)
        )
        for one in records
        if one is not None
    ]
    if batch.opened_on and (batch.specific_gravity or batch.flow_s):
        opened = Reading(
            batch.opened_on, _float(batch.specific_gravity), _float(batch.flow_s), batch.flow_cup
        )
        place = sum(one.day < opened.day for one in readings)
        readings.insert(place, opened)
        records.insert(place, None)
    moved = drifts(readings)
    cups = dict(FlowCup.choices())
    lines = tuple(
        Line(record, reading, drift, str(cups.get(reading.cup, "")))
        for record, reading, drift in zip(records, readings, moved, strict=True)
    )
    return BatchSheet(lines, tuple(_drawings(readings, cups)), _latest_warnings(lines), _latest_sg(readings))


def _float(value: object) -> float | None:
    return None if value is None else float(value)  # type: ignore[arg-type]


def _drawings(readings: list[Reading], cups: dict[str, str]) -> list[Drawing]:
    weights = [(one.day, one.specific_gravity) for one in readings if one.specific_gravity is not None]
    found = [drawing("Specific gravity", weights, bound=SG_BOUND, decimals=3)]
    for cup in dict.fromkeys(one.cup for one in readings if one.flow_s is not None):
        times = [(one.day, one.flow_s) for one in readings if one.flow_s is not None and one.cup == cup]
        bound = times[0][1] * FLOW_BOUND_PCT / 100
        found.append(drawing(f"Flow time, s, {cups.get(cup, '')}", times, bound=bound, decimals=1))
    return [one for one in found if one]


def _latest_warnings(lines: tuple[Line, ...]) -> tuple[str, ...]:
    """What the last weighing and the last flow time say, each wherever it was taken."""
    by_weight = next((one for one in reversed(lines) if one.drift.sg is not None), None)
    by_flow = next((one for one in reversed(lines) if one.drift.flow_pct is not None), None)
    return tuple(dict.fromkeys(words for one in (by_weight, by_flow) if one for words in one.drift.warnings))


def _latest_sg(readings: list[Reading]) -> float | None:
    return next(
        (one.specific_gravity for one in reversed(readings) if one.specific_gravity is not None), None
    )

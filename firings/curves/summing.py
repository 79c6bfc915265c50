"""A curve's heat work as plain values to keep: by the sensor as it reads, and with the sensor put right."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from firings.curves.samples import unpacked
from firings.curves.together import OneCurve, one_curve
from firings.heatwork.bending import UnfitCurve
from firings.heatwork.correction import KilnOffset
from firings.heatwork.equivalent import equivalent
from firings.heatwork.plain import plain_equivalent
from firings.heatwork.uncertainty import Sensor
from firings.notice import Notice, plain_of


def one_of(samples: bytes, count: int, sensors: Sequence[dict[str, Any]]) -> OneCurve:
    """The sensors that count as one curve, from what is kept of them."""
    times_s, columns = unpacked(samples, count)
    # Kept as float32: late in a log taken many times a second two times may fall together.
    rising = np.diff(times_s, prepend=-np.inf) > 0
    pairs = zip(sensors, columns, strict=True)
    return one_curve(times_s[rising], {one["name"]: temps[rising] for one, temps in pairs if one["counts"]})


def heat_of(
    one: OneCurve, *, sensor: Sensor | None = None, told_off_s: float | None = None
) -> dict[str, Any]:
    """Plain figures with the warnings, and with the time of switching off that was told; without a cone where none can
    be worked out.

    Parameters
    ----------
    told_off_s : when somebody noted that the power went off [s after the log's beginning]
    """
    try:
        found = equivalent(one.times_s, one.temps_c, sensor=sensor, switched_off_s=told_off_s)
    except UnfitCurve as trouble:
        words = [*one.words, Notice(f"No cone could be worked out: {trouble}")]
        return {"warnings": _plain(words), "told_off_s": told_off_s}
    heat = plain_equivalent(found)
    if heat["interval"] is not None and found.number is not None:
        heat["interval"]["basis"] = plain_of(found.number.basis)
    return heat | {"warnings": _plain([*one.words, *found.warnings]), "told_off_s": told_off_s}


def corrected_heat_of(
    one: OneCurve, offset: KilnOffset | None, *, told_off_s: float | None = None
) -> dict[str, Any]:
    """The same by the sensor put right, with the correction; nothing where there is none."""
    if offset is None:
        return {}
    heat = heat_of(one, sensor=offset.sensor(), told_off_s=told_off_s)
    return heat | {"correction": plain_correction(offset)}


def plain_correction(offset: KilnOffset | None) -> dict[str, Any] | None:
    """What a corrected curve was put right by [°C]."""
    if offset is None:
        return None
    return {
        "offset_c": round(offset.offset_c.value, 3),
        "plus_minus_c": round(offset.single_pm_c, 3),
        "n": offset.offset_c.n,
    }


def _plain(words: Sequence[str]) -> list[Any]:
    return [plain_of(line) for line in dict.fromkeys(words)]

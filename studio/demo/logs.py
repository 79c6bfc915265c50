"""The demo studio's logger files: each kiln has a logger of its own, which writes in its own way."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from firings.heatwork.equivalent import equivalent

Array = NDArray[np.float64]
ROOM_C = 18.0
# How fast the kilns cool at first [h to lose 1/e of their heat] (figures of our own).
COOLING_H = 5.5
LOGGED_TO_C = 300.0
# Cone 6 at 60 °C/h in the last 100 °C (Orton Foundation, chart for self-supporting cones).
CONE_6_C = 1222.0


def course(segments: Sequence[tuple[float, float, int]], reached: float, seed: int) -> tuple[Array, Array]:
    """Minutes and temperatures [°C] of a firing that followed its programme and came to the decimal cone `reached`."""
    low, high = -60.0, 60.0
    for _ in range(12):
        middle = (low + high) / 2
        minutes, temps = _smooth(segments, middle)
        number = equivalent(minutes * 60, temps).at_off.number
        low, high = (low, middle) if number is not None and number > reached else (middle, high)
    minutes, temps = _smooth(segments, low)
    wander = np.random.default_rng(seed).normal(0, 0.05, len(temps)).cumsum()
    return minutes, temps + wander - np.linspace(0, wander[-1], len(temps))


def _smooth(segments: Sequence[tuple[float, float, int]], hotter_c: float) -> tuple[Array, Array]:
    """The programme, its last target shifted, and the kiln's own cooling."""
    minutes, temps = [0.0], [ROOM_C]
    for place, (rate, target, hold) in enumerate(segments):
        to_c = target + (hotter_c if place == len(segments) - 1 else 0.0)
        minutes.append(minutes[-1] + 60 * abs(to_c - temps[-1]) / rate)
        temps.append(to_c)
        if hold:
            minutes.append(minutes[-1] + hold)
            temps.append(to_c)
    top = temps[-1]
    every = np.arange(0.0, minutes[-1])
    after = np.arange(0.0, 60 * COOLING_H * np.log((top - ROOM_C) / (LOGGED_TO_C - ROOM_C)))
    cooling = ROOM_C + (top - ROOM_C) * np.exp(-after / 60 / COOLING_H)
    return np.arange(float(len(every) + len(after))), np.concatenate(
        [np.interp(every, minutes, temps), cooling]
    )


def with_commas(minutes: Array, temps: Array, starts: datetime) -> str:
    """Two sensors, elapsed minutes, plain figures."""
    rows = (f"{minute:.0f},{temp:.1f},{temp - 6:.1f}" for minute, temp in zip(minutes, temps, strict=True))
    return "\n".join(["Elapsed (min),Top (°C),Bottom (°C)", *rows])


def with_semicolons(minutes: Array, temps: Array, starts: datetime) -> str:
    """Date and time, decimal comma."""
    moments = (starts + timedelta(minutes=float(minute)) for minute in minutes)
    rows = (
        f"{moment:%d.%m.%Y %H:%M};{temp:.1f}".replace(".", ",").replace(",", ".", 2)
        for moment, temp in zip(moments, temps, strict=True)
    )
    return "\n".join(["Logger 4711", "", "Date and time;Kiln °C", *rows])


def in_fahrenheit(minutes: Array, temps: Array, starts: datetime) -> str:
    """Seconds and °F, tabs between."""
    rows = (f"{minute * 60:.0f}\t{temp * 1.8 + 32:.0f}" for minute, temp in zip(minutes, temps, strict=True))
    return "\n".join(["Seconds\tTemp (°F)", *rows])


LOGGERS: dict[str, tuple[str, Callable[[Array, Array, datetime], str]]] = {
    "Oriel": ("oriel", with_commas),
    "Bellows": ("bellows", with_semicolons),
    "Thimble": ("thimble", in_fahrenheit),
}


def log_of(
    kiln: str,
    segments: Sequence[tuple[float, float, int]],
    reached: float,
    starts: datetime,
    seed: int,
    *,
    sensor_c: float = 0.0,
) -> tuple[str, bytes]:
    """Name and bytes of the file that a kiln's logger wrote of a firing.

    Parameters
    ----------
    sensor_c : by how much its sensor read too high at cone 6 [°C]; in proportion to the heat
    """
    stem, write = LOGGERS[kiln]
    minutes, temps = course(segments, reached, seed)
    temps = temps + sensor_c * (temps - ROOM_C) / (CONE_6_C - ROOM_C)
    return f"{stem}-{starts:%Y-%m-%d}.csv", write(minutes, temps, starts).encode()

"""Ratios against a floor, measured in one run: python -m tests.bench.heatwork

The cone of a 12 h curve logged each second, against numpy's bare evaluation of the integral of one cone, the hardest
floor (ours sums all 33 of the ladder and finds the top besides); and a million-row file, against numpy's own reader.
Ratios travel between machines; times do not.
"""

import io
import sys
import time
from collections.abc import Callable

import numpy as np

from firings.curves.reading import read
from firings.heatwork.equivalent import equivalent
from firings.heatwork.kinetics import ladder, place_of

MOST_FOR_A_CURVE = 3.0
MOST_FOR_A_FILE = 2.0
MILLION = 1_000_000


def best_of(times: int, *works: Callable[[], object]) -> list[float]:
    """The best time of each [s], taken in turn so that other work on the machine hits all alike."""
    best = [float("inf")] * len(works)
    for _ in range(times):
        for place, work in enumerate(works):
            begin = time.perf_counter()
            work()
            best[place] = min(best[place], time.perf_counter() - begin)
    return best


def twelve_hours() -> tuple[np.ndarray, np.ndarray]:
    times_s = np.arange(12 * 3600.0)
    noise = np.random.default_rng(1).normal(0, 0.5, len(times_s))
    return times_s, np.interp(times_s / 3600, [0, 8, 8.25, 12], [22, 1222, 1222, 500]) + noise


def curve_ratios() -> tuple[float, float]:
    """Our time over numpy's, for one cone's integral and for the whole ladder's."""
    times_s, temps_c = twelve_hours()
    ln_a, b_k, hours = ladder().ln_a_per_h, ladder().b_k, times_s / 3600
    six = place_of(30)

    def one_cone() -> object:
        return np.trapezoid(np.exp(ln_a[six] - b_k[six] / (temps_c + 273.15)), hours)

    def whole_ladder() -> object:
        return [
            np.trapezoid(np.exp(a - b / (temps_c + 273.15)), hours) for a, b in zip(ln_a, b_k, strict=True)
        ]

    ours, one = best_of(200, lambda: equivalent(times_s, temps_c), one_cone)
    ours_again, whole = best_of(20, lambda: equivalent(times_s, temps_c), whole_ladder)
    return ours / one, ours_again / whole


def file_ratio(header: bytes, body: bytes) -> float:
    """Our time over that of numpy's own reader of text, three columns of figures."""
    data = header + body

    def by_numpy() -> object:
        return np.loadtxt(io.BytesIO(body), delimiter=",")

    ours, theirs = best_of(3, lambda: read(data), by_numpy)
    return ours / theirs


def million_rows() -> bytes:
    seconds = np.arange(MILLION) * 0.05
    temps = np.interp(seconds / 3600, [0, 10, 10.2, 13.9], [20, 1222, 1222, 300])
    return "\n".join(f"{s:.2f},{t:.1f},{t - 9:.1f}" for s, t in zip(seconds, temps, strict=True)).encode()


def million_stamped_rows() -> bytes:
    stamps = np.datetime64("2026-03-02T07:00:00.00") + np.arange(MILLION) * np.timedelta64(50, "ms")
    temps = np.interp(np.arange(MILLION) / 72000, [0, 10, 10.2, 13.9], [20, 1222, 1222, 300])
    stamped = zip(stamps.astype(str).tolist(), temps.tolist(), strict=True)
    return "\n".join(f"{stamp},{temp:.1f}" for stamp, temp in stamped).encode()


def stamped_ratio() -> float:
    """Our time over that of numpy's own reader doing the same job: each row's date and time, and its figure."""
    body = million_stamped_rows()
    data, kinds = b"when,top_c\n" + body, [("when", "M8[ms]"), ("top_c", "f8")]

    def by_numpy() -> object:
        return np.loadtxt(io.BytesIO(body), delimiter=",", dtype=kinds)

    ours, theirs = best_of(3, lambda: read(data), by_numpy)
    return ours / theirs


def main() -> int:
    one, whole = curve_ratios()
    print(
        f"cone of a 12 h curve at 1 s: {one:.2f} × numpy's integral of one cone, {whole:.2f} × those of the ladder"
    )
    ratio = file_ratio(b"time_s,top_c,bottom_c\n", million_rows())
    print(f"a million rows of three figures: {ratio:.2f} × numpy's own reader")
    stamped = stamped_ratio()
    print(f"a million rows of date, time and a figure: {stamped:.2f} × numpy's own reader of the same")
    return 0 if one <= MOST_FOR_A_CURVE and max(ratio, stamped) <= MOST_FOR_A_FILE else 1


if __name__ == "__main__":
    sys.exit(main())

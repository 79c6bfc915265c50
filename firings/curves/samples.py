"""A curve's columns as one compact value: little-endian float32, times first, then the sensors, zlib over all."""

import zlib
from collections.abc import Sequence

import numpy as np

from firings.curves.figures import Array
from firings.curves.text import UnreadableCurve


def packed(times_s: Array, sensors_c: Sequence[Array]) -> bytes:
    """The columns as bytes.

    Parameters
    ----------
    times_s : times from the first reading [s]; to a hundredth of a second over a day
    sensors_c : temperatures [°C], not a number where missing
    """
    columns = np.vstack([times_s, *sensors_c]).astype("<f4")
    return zlib.compress(columns.tobytes(), 6)


def unpacked(samples: bytes, count: int) -> tuple[Array, list[Array]]:
    """Times [s] and the sensors' temperatures [°C].

    Raises
    ------
    UnreadableCurve : not what `packed` made

    >>> times, sensors = unpacked(packed(np.array([0.0, 60.0]), [np.array([20.0, np.nan])]), 2)
    >>> times.tolist(), sensors[0].tolist()
    ([0.0, 60.0], [20.0, nan])
    """
    try:
        columns = np.frombuffer(zlib.decompress(samples), dtype="<f4").astype(float).reshape(-1, count)
    except (zlib.error, ValueError):
        raise UnreadableCurve(
            "The readings kept of this curve are damaged; bring its file in again."
        ) from None
    return columns[0], list(columns[1:])

"""sRGB to linear light and back (IEC 61966-2-1), on arrays of any shape.

Values beyond 0 to 255 are carried through, mirrored at nought: a corrected colour may lie outside what sRGB holds, and
cutting it there would move it.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# IEC 61966-2-1: where the straight part of the curve ends, coded and in linear light.
CODED_KNEE = 0.04045
LINEAR_KNEE = 0.0031308


def to_linear(rgb8: ArrayLike) -> Array:
    """Linear light of coded sRGB.

    Parameters
    ----------
    rgb8 : coded values [0 to 255], shape (..., 3) or any other; bytes are looked up and so are quick

    Returns
    -------
    linear light [0 to 1], same shape

    >>> [round(float(value), 5) for value in to_linear([119, 128, 188])]
    [0.18447, 0.21586, 0.50289]
    """
    given = np.asarray(rgb8)
    return BYTES[given] if given.dtype == np.uint8 else _decoded(given.astype(np.float64))


def to_coded(linear: ArrayLike) -> Array:
    """Coded sRGB [0 to 255, not rounded] of linear light [0 to 1], same shape.

    >>> round(float(to_coded(0.21586)))
    128
    """
    light = np.asarray(linear, dtype=np.float64)
    size = np.abs(light)
    curved = 1.055 * np.maximum(size, LINEAR_KNEE) ** (1 / 2.4) - 0.055
    return np.copysign(255 * np.where(size <= LINEAR_KNEE, 12.92 * size, curved), light)


def to_bytes(linear: ArrayLike) -> NDArray[np.uint8]:
    """Coded sRGB as bytes; what is too bright or too dark for sRGB is cut off.

    >>> to_bytes([0.0, 0.21586, 1.7]).tolist()
    [0, 128, 255]
    """
    return np.asarray(np.clip(np.round(to_coded(linear)), 0, 255), dtype=np.uint8)


def _decoded(rgb8: Array) -> Array:
    size = np.abs(rgb8) / 255
    curved = ((np.maximum(size, CODED_KNEE) + 0.055) / 1.055) ** 2.4
    return np.copysign(np.where(size <= CODED_KNEE, size / 12.92, curved), rgb8)


BYTES = _decoded(np.arange(256, dtype=np.float64))

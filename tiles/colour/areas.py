"""Even areas of a picture that are about as compact as a parallelogram."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from tiles.colour.srgb import Array

SMALLEST_PX, LARGEST_SHARE = 30, 0.04
# Area over that of a parallelogram with the same second moments: 1 for a parallelogram, 1.05 for an ellipse, well
# below for a letter, a ring or a crumb.
COMPACT = (0.85, 1.12)
MOST_SLENDER = 3.5


@dataclass(frozen=True, slots=True, eq=False)
class Areas:
    """Middles (n, 2) as x, y and sizes (n,) of areas, in pixels."""

    middles: Array
    sizes: Array


def steps_between(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """How much each pixel's neighbourhood of three by three spans, in the channel that spans most [0 to 255], (h, w).

    Single noisy pixels are smoothed away first.
    """
    smooth = np.asarray(Image.fromarray(picture).filter(ImageFilter.MedianFilter(3)))
    padded = np.pad(smooth, ((1, 1), (1, 1), (0, 0)), mode="edge")
    down = np.maximum(np.maximum(padded[:-2], padded[1:-1]), padded[2:])
    highest = np.maximum(np.maximum(down[:, :-2], down[:, 1:-1]), down[:, 2:])
    down = np.minimum(np.minimum(padded[:-2], padded[1:-1]), padded[2:])
    lowest = np.minimum(np.minimum(down[:, :-2], down[:, 1:-1]), down[:, 2:])
    return np.asarray((highest - lowest).max(axis=-1))


def even_areas(steps: NDArray[np.uint8], most_step: int) -> Areas:
    """Compact areas within which no pixel differs from its neighbours by more than `most_step` [of 255].

    `steps` are those of `steps_between`, the same for every evenness.
    """
    return _compact(labelled(steps <= most_step))


def labelled(mask: NDArray[np.bool_]) -> NDArray[np.int64]:
    """A number for each connected area of the mask (by sides, not corners), 0 outside; same shape.

    >>> labelled(np.array([[True, False, True], [True, False, False]])).tolist()
    [[1, 0, 2], [1, 0, 0]]
    """
    padded = np.pad(mask, ((0, 0), (1, 1))).astype(np.int8)
    change = np.diff(padded, axis=1)
    rows, starts = np.nonzero(change == 1)
    ends = np.nonzero(change == -1)[1]
    parent = _joined(rows, starts, ends)
    numbers = np.unique(parent, return_inverse=True)[1] + 1
    ramp = np.zeros((mask.shape[0], mask.shape[1] + 1), dtype=np.int64)
    np.add.at(ramp, (rows, starts), numbers)
    np.add.at(ramp, (rows, ends), -numbers)
    return np.cumsum(ramp, axis=1)[:, :-1]


def _joined(rows: NDArray[np.intp], starts: NDArray[np.intp], ends: NDArray[np.intp]) -> NDArray[np.int64]:
    """The lowest run that each run is joined to, over runs that touch from row to row."""
    first, second = _touching(rows, starts, ends)
    parent = np.arange(len(rows))
    while True:
        lowest = np.minimum(parent[first], parent[second])
        before = parent.copy()
        np.minimum.at(parent, parent[first], lowest)
        np.minimum.at(parent, parent[second], lowest)
        while (parent != parent[parent]).any():
            parent = parent[parent]
        if (parent == before).all():
            return parent


def _touching(
    rows: NDArray[np.intp], starts: NDArray[np.intp], ends: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of runs, one in the row above the other, that share a column."""
    width = int(ends.max(initial=0)) + 2
    begin, end = (rows + 1) * width + starts, (rows + 1) * width + ends
    above_first = np.searchsorted(rows * width + ends + width, begin - width, side="right")
    above_last = np.searchsorted(begin, end - width, side="left")
    count = np.maximum(above_last - above_first, 0)
    below = np.repeat(np.arange(len(rows)), count)
    offset = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    return np.repeat(above_first, count) + offset, below


def _compact(labels: NDArray[np.int64]) -> Areas:
    """The areas of plausible size whose second moments are those of a parallelogram."""
    flat = labels.ravel()
    sizes = np.bincount(flat).astype(np.float64)
    y, x = (axis.ravel().astype(np.float64) for axis in np.indices(labels.shape))
    some = np.maximum(sizes, 1)

    def mean(values: Array) -> Array:
        return np.bincount(flat, values) / some

    mx, my = mean(x), mean(y)
    xx, yy, xy = mean(x * x) - mx * mx, mean(y * y) - my * my, mean(x * y) - mx * my
    spread = np.sqrt(np.maximum(xx * yy - xy * xy, 1e-9))
    middle, half = (xx + yy) / 2, np.hypot((xx - yy) / 2, xy)
    slender = np.sqrt((middle + half) / np.maximum(middle - half, 1e-9))
    compact = sizes / (12 * spread)
    kept = (sizes >= SMALLEST_PX) & (sizes <= LARGEST_SHARE * flat.size) & (slender < MOST_SLENDER)
    kept &= (compact > COMPACT[0]) & (compact < COMPACT[1])
    kept[0] = False
    return Areas(np.stack([mx, my], axis=-1)[kept], sizes[kept])

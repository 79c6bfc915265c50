"""Fields of chance, made once for each scale and then cut from at random: grain, clouds, streaks, cells, dots."""

from functools import lru_cache
from typing import Any, TypeVar
from zlib import crc32

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

Plane = NDArray[np.float32]
Sheet = TypeVar("Sheet", Plane, NDArray[np.uint8])
Chance = np.random.Generator

# Kept in memory: the fields of one scale, so draw tiles of one size after the other.
SIDE_PX = 1152  # the largest slab is about 1040 px high
# Correlation lengths across and down [mm] of each named field.
CELLS_MM = {
    "dust": (0.12, 0.12),
    "grain": (0.35, 0.35),
    "peel": (1.1, 1.1),
    "mottle": (2.2, 2.2),
    "patch": (6.0, 6.0),
    "cloud": (20.0, 20.0),
    "across": (26.0, 0.9),
    "down": (0.9, 26.0),
    "hairs_across": (16.0, 0.3),
    "hairs_down": (0.3, 16.0),
    "rivulet": (0.9, 11.0),
    "fur": (0.28, 5.0),
}


def of_part(seed: int, part: str) -> Chance:
    """The chance of one part of a picture, whatever happens in the others."""
    return np.random.default_rng([seed, crc32(part.encode())])


def smooth_noise(chance: Chance, side_px: int, cell_px: tuple[float, float]) -> Plane:
    """Noise of mean 0 and spread 1 with lumps of about ``cell_px`` (across, down), without the grain of a grid."""
    across, down = (max(4, round(3 * side_px / max(cell, 3.0))) for cell in cell_px)
    seeds = chance.standard_normal((down, across), dtype=np.float32)
    for _ in range(3):
        seeds = box3(seeds)
    grown = Image.fromarray(seeds).resize((side_px, side_px), Image.Resampling.BICUBIC)
    plane = np.asarray(grown, dtype=np.float32)
    return np.asarray((plane - plane.mean()) / plane.std(), dtype=np.float32)


@lru_cache(maxsize=14)
def field(name: str, px_per_mm: float) -> Plane:
    """The named field at this scale, always the same one."""
    chance = np.random.default_rng([crc32(name.encode()), round(px_per_mm * 100)])
    across, down = CELLS_MM[name]
    return smooth_noise(chance, SIDE_PX, (across * px_per_mm, down * px_per_mm))


@lru_cache(maxsize=3)
def cells(px_per_mm: float, cell_mm: float) -> Plane:
    """Distance [cells] to the nearest border of a random mosaic: 0 on a border (Worley's F2 - F1)."""
    chance = np.random.default_rng([7, round(px_per_mm * 100), round(cell_mm * 100)])
    n = max(3, int(SIDE_PX / (cell_mm * px_per_mm)))
    points = chance.random((n + 2, n + 2, 2), dtype=np.float32) * np.float32(0.9)
    side = np.linspace(0, n, SIDE_PX, endpoint=False, dtype=np.float32)
    whole, part = side.astype(int), side % 1
    first = np.full((SIDE_PX, SIDE_PX), 9, dtype=np.float32)
    second = first.copy()
    for down in range(3):
        rows = points[whole + down]
        for across in range(3):
            spot = rows[:, whole + across]
            gap = np.hypot(
                spot[..., 0] + (across - 1) - part[None, :], spot[..., 1] + (down - 1) - part[:, None]
            )
            second = np.minimum(second, np.maximum(first, gap))
            first = np.minimum(first, gap)
    return np.asarray(second - first, dtype=np.float32)


@lru_cache(maxsize=12)
def _dots(px_per_mm: float, per_cm2: float, radius_mm: float) -> NDArray[np.uint8]:
    chance = np.random.default_rng([11, round(px_per_mm * 100), round(per_cm2 * 10), round(radius_mm * 1000)])
    sheet = Image.new("L", (SIDE_PX, SIDE_PX))
    pen = ImageDraw.Draw(sheet)
    count = int(per_cm2 * (SIDE_PX / px_per_mm / 10) ** 2)
    radii = radius_mm * px_per_mm * chance.lognormal(0, 0.42, count)
    for (x, y), r, squash in zip(
        chance.random((count, 2)) * SIDE_PX, radii, chance.random(count), strict=True
    ):
        pen.ellipse((x - r, y - r * (0.6 + 0.4 * squash), x + r, y + r * (0.6 + 0.4 * squash)), fill=255)
    soft = sheet.filter(ImageFilter.GaussianBlur(max(0.5, radius_mm * px_per_mm * 0.35)))
    return np.asarray(soft)


def dots(px_per_mm: float, per_cm2: float, radius_mm: float, chance: Chance, shape: tuple[int, int]) -> Plane:
    """A random piece of a strewing of specks of uneven size: 1 inside a speck, 0 outside, with soft rims."""
    return cut(_dots(px_per_mm, per_cm2, radius_mm), chance, shape) * np.float32(1 / 255)


def cut(sheet: Sheet, chance: Chance, shape: tuple[int, int]) -> Sheet:
    """A random piece of a field, mirrored at random; a view, not a copy."""
    top, left = (int(chance.integers(0, SIDE_PX - side + 1)) for side in shape)
    piece = sheet[top : top + shape[0], left : left + shape[1]]
    turn = int(chance.integers(0, 4))
    return piece[:: -1 if turn & 1 else 1, :: -1 if turn & 2 else 1]


def wave(sheet: Plane, chance: Chance, length: int) -> Plane:
    """A random line through a field: an uneven edge."""
    row, start = int(chance.integers(0, SIDE_PX)), int(chance.integers(0, SIDE_PX - length + 1))
    return sheet[row, start : start + length]


def blur(plane: Plane, radius_px: float) -> Plane:
    """The plane smoothed over about ``radius_px``, by way of a smaller copy where that is enough."""
    height, width = plane.shape
    step = max(1, int(radius_px / 1.5))
    small = Image.fromarray(plane).reduce(step) if step > 1 else Image.fromarray(plane)
    soft = box3(np.asarray(small, dtype=np.float32))
    if step == 1:
        return soft
    return np.asarray(Image.fromarray(soft).resize((width, height), Image.Resampling.BILINEAR))


def box3(plane: Plane) -> Plane:
    """Each point the mean of itself and its neighbours, weighted 1 2 1 both ways."""
    tall = np.pad(plane, 1, mode="edge")
    rows = tall[:-2] + 2 * tall[1:-1] + tall[2:]
    return np.asarray((rows[:, :-2] + 2 * rows[:, 1:-1] + rows[:, 2:]) / 16, dtype=np.float32)


def smoothstep(low: float, high: float, plane: NDArray[Any]) -> Plane:
    """0 below ``low``, 1 above ``high``, an even S between."""
    x = np.clip((plane - np.float32(low)) / np.float32(high - low), 0, 1)
    return np.asarray(x * x * (3 - 2 * x), dtype=np.float32)

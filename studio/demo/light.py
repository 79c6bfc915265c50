"""Light on a tile: from linear light to sRGB, shading by a window up on the left, the grey table around."""

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from studio.demo import noise
from studio.demo.noise import Chance, Plane
from studio.demo.picture import Rgb

if TYPE_CHECKING:
    from studio.demo.clay import Slab

TABLE_RGB = (133, 133, 131)
LUT_STEPS = 4095
TABLE_SPARE_PX = 120


def to_linear(rgb: Rgb) -> NDArray[np.float32]:
    """Linear light 0..1 of an sRGB colour (IEC 61966-2-1)."""
    coded = np.asarray(rgb, dtype=np.float32) / 255
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4).astype(np.float32)


@lru_cache(maxsize=1)
def _srgb_steps() -> NDArray[np.uint8]:
    light = np.arange(LUT_STEPS + 1, dtype=np.float64) / LUT_STEPS
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.asarray(np.round(coded * 255), dtype=np.uint8)


def to_srgb(colour: NDArray[np.float32]) -> NDArray[np.uint8]:
    """sRGB bytes, shape (rows, columns, 3), of planes of linear light; too bright is white."""
    steps = np.clip(colour * np.float32(LUT_STEPS), 0, LUT_STEPS).astype(np.uint16)
    return np.ascontiguousarray(_srgb_steps()[steps].transpose(1, 2, 0))


def shade(slab: "Slab", chance: Chance) -> NDArray[np.float32]:
    """The slab's colour as the eye meets it: shaded by its slopes, with the window in its shine."""
    slope_x, slope_y = slopes(slab.relief_mm, slab.px_per_mm)
    tilt = np.clip(slope_x * np.float32(0.52) + slope_y * np.float32(0.62), -0.75, 0.6)
    hollow = np.clip(noise.blur(slab.relief_mm, slab.px_per_mm * 0.9) - slab.relief_mm, 0, 0.5)
    lit = (1 + tilt) * (1 - np.float32(0.75) * hollow)
    lit *= slab.light_rows[:, None]
    fall = 1.06 - 0.10 * (slab.v_mm / slab.v_mm[-1])[:, None] - 0.05 * (slab.u_mm / slab.u_mm[-1])[None, :]
    lit_colour = slab.colour * (lit * fall)
    box = _shining(slab)
    lit_colour[(slice(None), *box)] += window(slab, box, slope_x[box], slope_y[box], chance)
    return np.asarray(lit_colour, dtype=np.float32)


def _shining(slab: "Slab") -> tuple[slice, slice]:
    """The part of the slab in which something shines."""
    spans = []
    for axis in (1, 0):
        lines = np.flatnonzero(slab.sheen.any(axis=axis))
        spans.append(slice(int(lines[0]), int(lines[-1]) + 1) if len(lines) else slice(0, 1))
    return spans[0], spans[1]


def slopes(relief_mm: Plane, px_per_mm: float) -> tuple[Plane, Plane]:
    """Rise of the surface to the right and downwards [mm per mm]."""
    across, down = np.empty_like(relief_mm), np.empty_like(relief_mm)
    across[:, 1:-1] = relief_mm[:, 2:] - relief_mm[:, :-2]
    down[1:-1] = relief_mm[2:] - relief_mm[:-2]
    across[:, [0, -1]], down[[0, -1]] = 0, 0
    half = np.float32(px_per_mm / 2)
    return np.clip(across * half, -1.5, 1.5), np.clip(down * half, -1.5, 1.5)


def window(slab: "Slab", box: tuple[slice, slice], slope_x: Plane, slope_y: Plane, chance: Chance) -> Plane:
    """What shines back: a window with a glazing bar, blurred by roughness, and sparks on steep rims."""
    width, height = float(slab.u_mm[-1]), float(slab.v_mm[-1])
    at = width * chance.uniform(0.18, 0.34), height * chance.uniform(0.2, 0.36)
    rough, sheen = slab.rough[box], slab.sheen[box]
    x = slab.u_mm[None, box[1]] - np.float32(at[0]) - slope_x * 38
    y = slab.v_mm[box[0], None] - np.float32(at[1]) - slope_y * 38 + np.float32(0.12) * x
    soft = np.float32(1.6) + 26 * rough**2
    pane = _within(x, width * 0.13, soft) * _within(y, height * 0.13, soft)
    bar = _within(x + 1, 0.7, soft * np.float32(0.6)) + _within(y - 1, 0.7, soft * np.float32(0.6))
    pane *= (1 - np.float32(0.7) * np.clip(bar, 0, 1)) * (np.float32(0.85) - y * np.float32(0.012))
    glow = np.exp(-(x**2 + y**2) / np.float32((0.42 * height) ** 2))
    spark = np.exp(-((slope_x - 0.40) ** 2 + (slope_y - 0.48) ** 2) / (np.float32(0.02) + rough**2))
    return sheen * (np.float32(0.27) * pane + np.float32(0.035) * glow + np.float32(0.42) * spark)


def _within(along: Plane, half: float, soft: Plane) -> Plane:
    """1 well inside ``half`` of 0, 0 well outside, with an edge as wide as ``soft``."""
    edge = np.clip((np.float32(half) - np.abs(along)) / soft + np.float32(0.5), 0, 1)
    return edge * edge * (3 - 2 * edge) * np.minimum(1, np.float32(2 * half) / soft)


@lru_cache(maxsize=4)
def table(size: tuple[int, int]) -> Image.Image:
    """A sheet of grey card under soft light, larger than the picture so that each cuts its own piece."""
    width, height = size[0] + TABLE_SPARE_PX, size[1] + TABLE_SPARE_PX
    chance = np.random.default_rng(3)
    y, x = np.mgrid[0 : 1 : 1j * height, 0 : 1 : 1j * width].astype(np.float32)
    fall = 1.07 - 0.34 * ((x - 0.3) ** 2 + (y - 0.22) ** 2)
    weave = noise.smooth_noise(chance, max(width, height), (2.2, 2.2))[:height, :width]
    cloud = noise.smooth_noise(chance, max(width, height), (160, 160))[:height, :width]
    light = fall + weave * np.float32(0.018) + cloud * np.float32(0.012)
    return Image.fromarray(to_srgb(to_linear(TABLE_RGB)[:, None, None] * light))


def shadow(mask: Image.Image, px_per_mm: float) -> Image.Image:
    """How dark the table gets beside the tile: a tight contact shadow and a wide soft one (L, 0..255)."""
    small = mask.reduce(4)
    unit = px_per_mm / 4
    dark = np.zeros((small.height, small.width), dtype=np.float32)
    for radius_mm, shift_mm, weight in (
        (0.9, (0.5, 0.7), 0.5),
        (3.2, (2.2, 2.8), 0.36),
        (9.0, (4.5, 6.0), 0.22),
    ):
        soft = small.filter(ImageFilter.GaussianBlur(radius_mm * unit))
        moved = np.roll(np.asarray(soft, dtype=np.float32), [round(s * unit) for s in shift_mm[::-1]], (0, 1))
        dark += np.float32(weight) * moved * (1 - dark / 400)
    sheet = Image.fromarray(np.clip(dark, 0, 235).astype(np.uint8))
    return sheet.resize(mask.size, Image.Resampling.BILINEAR)

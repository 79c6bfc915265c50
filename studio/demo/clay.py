"""A bare tile: its cut outline, the grain and specks of its body, what is pressed and scratched into it."""

from dataclasses import dataclass
from dataclasses import field as made

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from studio.demo import digits, noise
from studio.demo.light import to_linear
from studio.demo.noise import Chance, Plane
from studio.demo.picture import Relief, TilePicture, ZonePicture

MARGIN_MM = 3.0
CORNER_MM = 3.2
BEVEL_MM = 1.3


@dataclass(slots=True)
class Slab:
    """A tile being drawn: planes over its face, with a margin around it.

    u_mm, v_mm : place of each column and row; colour : linear light, shape (3, rows, columns);
    relief_mm : height of the surface; ridge : -1 in hollows to 1 on edges, for what glaze runs off;
    depth_mm : distance in from the outline; sheen : mirror part of the surface, 0..1; rough : 0 mirror, 1 chalk;
    body : the bare clay's colour; glazed : how much of each point is covered.
    """

    px_per_mm: float
    u_mm: Plane
    v_mm: Plane
    depth_mm: Plane
    colour: NDArray[np.float32]
    relief_mm: Plane
    ridge: Plane
    specks: Plane
    body: Plane
    sheen: Plane = made(init=False)
    rough: Plane = made(init=False)
    glazed: Plane = made(init=False)
    light_rows: Plane = made(init=False)

    def __post_init__(self) -> None:
        self.sheen, self.glazed = np.zeros_like(self.depth_mm), np.zeros_like(self.depth_mm)
        self.rough = np.ones_like(self.depth_mm)
        self.light_rows = np.ones_like(self.v_mm)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.depth_mm.shape[0], self.depth_mm.shape[1]

    def cut(self, name: str, chance: Chance) -> Plane:
        """A piece of a field of chance as large as the slab."""
        return noise.cut(noise.field(name, self.px_per_mm), chance, self.shape)

    def box(self, x0: float, y0: float, x1: float, y1: float) -> tuple[slice, slice]:
        """Rows and columns of a rectangle given in mm, kept inside the slab."""
        rows = [int(np.clip((y + MARGIN_MM) * self.px_per_mm, 0, self.shape[0])) for y in (y0, y1)]
        columns = [int(np.clip((x + MARGIN_MM) * self.px_per_mm, 0, self.shape[1])) for x in (x0, x1)]
        return slice(*rows), slice(*columns)


def bare_slab(tile: TilePicture, px_per_mm: float, chance: Chance) -> Slab:
    """The tile before any glaze: outline, body, relief of its textured zones, number."""
    u, v = (_places(size, px_per_mm) for size in (tile.width_mm, tile.height_mm))
    depth = _outline(tile, u, v, px_per_mm, chance)
    shape = depth.shape
    slab = Slab(
        px_per_mm, u, v, depth, np.empty((3, *shape), np.float32),
        np.zeros(shape, np.float32), np.exp(-np.maximum(depth, 0) / np.float32(0.7)), np.zeros(shape, np.float32),
        to_linear(tile.body_rgb),
    )  # fmt: skip
    _model_surface(slab, tile, chance)
    for zone in tile.zones:
        if zone.relief:
            press_relief(slab, zone, chance)
    if tile.foot_mm:
        _bend_foot(slab, tile)
    if tile.number:
        scratch_number(slab, tile, chance)
    _colour_body(slab, tile, chance)
    return slab


def _places(size_mm: float, px_per_mm: float) -> Plane:
    count = round((size_mm + 2 * MARGIN_MM) * px_per_mm)
    return (np.arange(count, dtype=np.float32) + np.float32(0.5)) / np.float32(px_per_mm) - np.float32(
        MARGIN_MM
    )


def _outline(tile: TilePicture, u: Plane, v: Plane, px_per_mm: float, chance: Chance) -> Plane:
    """Distance in from the hand-cut outline [mm], below 0 outside and in the hanging hole."""
    half_w, half_h = tile.width_mm / 2, tile.height_mm / 2
    taper = np.float32(chance.uniform(-0.008, 0.008))
    sway = noise.field("cloud", px_per_mm)
    lean = noise.wave(sway, chance, len(v))[:, None] * np.float32(0.28)
    sag = noise.wave(sway, chance, len(u))[None, :] * np.float32(0.28)
    x = np.abs(u[None, :] - half_w + lean) * (1 + taper * (v[:, None] - half_h) / half_h)
    y = np.abs(v[:, None] - half_h + sag)
    corner = np.float32(CORNER_MM * chance.uniform(0.7, 1.3))
    qx, qy = x - (half_w - corner), y - (half_h - corner)
    round_part = np.sqrt(np.maximum(qx, 0) ** 2 + np.maximum(qy, 0) ** 2)
    depth = corner - round_part - np.minimum(np.maximum(qx, qy), 0)
    depth += noise.cut(noise.field("mottle", px_per_mm), chance, depth.shape) * np.float32(0.045)
    if tile.hole_mm:
        centre = half_w + chance.uniform(-1.2, 1.2), 6.5 + chance.uniform(-0.5, 0.5)
        high = slice(0, int((centre[1] + 8 + MARGIN_MM) * px_per_mm))
        hole = np.hypot(u[None, :] - np.float32(centre[0]), v[high, None] - np.float32(centre[1]))
        depth[high] = np.minimum(depth[high], hole - np.float32(tile.hole_mm / 2))
    return depth


def _model_surface(slab: Slab, tile: TilePicture, chance: Chance) -> None:
    inside = np.clip(slab.depth_mm, 0, BEVEL_MM)
    slab.relief_mm += np.sqrt(BEVEL_MM**2 - (BEVEL_MM - inside) ** 2) - np.float32(BEVEL_MM)
    slab.relief_mm += slab.cut("grain", chance) * np.float32(0.010 + 0.02 * tile.grog)
    slab.relief_mm += slab.cut("peel", chance) * np.float32(0.012)
    slab.relief_mm += slab.cut("across", chance) * np.float32(0.010)
    slab.relief_mm += slab.cut("cloud", chance) * np.float32(0.22)


def _bend_foot(slab: Slab, tile: TilePicture) -> None:
    """Below the bend the foot lies flat and takes more light; the bend itself is in its own shade."""
    below = slab.v_mm - np.float32(tile.height_mm - tile.foot_mm)
    slab.light_rows = np.float32(0.94) + np.float32(0.30) * noise.smoothstep(-0.8, 1.2, below)
    slab.light_rows -= np.float32(0.34) * np.exp(-np.abs(below) / np.float32(1.8))
    slab.ridge -= np.exp(-((below / np.float32(1.6)) ** 2))[:, None] * np.float32(1.1)


def _colour_body(slab: Slab, tile: TilePicture, chance: Chance) -> None:
    tone = 1 + slab.cut("cloud", chance) * np.float32(0.035) + slab.cut("grain", chance) * np.float32(0.035)
    tone += slab.cut("dust", chance) * np.float32(0.02 + 0.05 * tile.grog)
    grog = noise.dots(slab.px_per_mm, 40, 0.22, chance, slab.shape)
    tone += grog * np.float32(0.3 * tile.grog)
    body = to_linear(tile.body_rgb)
    slab.colour[:] = body[:, None, None] * tone
    if tile.speckled:
        slab.specks = _specks(slab, chance)
        slab.colour *= 1 - np.float32(0.82) * slab.specks
        slab.relief_mm -= slab.specks * np.float32(0.03)


def _specks(slab: Slab, chance: Chance) -> Plane:
    fine = noise.dots(slab.px_per_mm, 45, 0.11, chance, slab.shape)
    coarse = noise.dots(slab.px_per_mm, 5, 0.24, chance, slab.shape)
    return np.maximum(fine * np.float32(0.8), coarse)


def press_relief(slab: Slab, zone: ZonePicture, chance: Chance) -> None:
    """Cut or stamp a pattern into one zone, with the burr a tool throws up beside each cut."""
    box = slab.box(zone.x_mm - 1, zone.y_mm - 1, zone.x_mm + zone.w_mm + 1, zone.y_mm + zone.h_mm + 1)
    u, v = slab.u_mm[box[1]][None, :] - zone.x_mm, slab.v_mm[box[0]][:, None] - zone.y_mm
    wander = noise.cut(noise.field("patch", slab.px_per_mm), chance, (v.shape[0], u.shape[1])) * np.float32(
        0.22
    )
    inside = np.minimum(np.minimum(u, zone.w_mm - u), np.minimum(v, zone.h_mm - v))
    cuts = _pattern(zone.relief, u + wander, v - wander)
    fade = noise.smoothstep(-0.4, 0.6, inside + wander)
    hollow, burr = np.exp(-((cuts / 0.55) ** 2)) * fade, np.exp(-(((cuts - 1.0) / 0.4) ** 2)) * fade
    slab.relief_mm[box] += np.float32(0.16) * burr - np.float32(0.62) * hollow
    slab.ridge[box] = np.maximum(slab.ridge[box], burr) - np.float32(1.2) * hollow


def _pattern(relief: Relief, u: Plane, v: Plane) -> Plane:
    """Distance [mm] to the nearest cut of a pattern."""
    if relief == "comb":
        return _spaced(v + np.float32(1.3) * np.sin(u / np.float32(2.4)), 3.1)
    if relief == "stamp":
        return np.abs(np.hypot(_spaced(u, 7.6), _spaced(v, 7.6)) % np.float32(2.3) - np.float32(1.15))
    if relief == "net":
        return np.minimum(_spaced(u + v, 5.4), _spaced(u - v, 5.4)) * np.float32(0.71)
    return _spaced(u + np.float32(0.25) * v, 3.4)


def _spaced(along: Plane, pitch_mm: float) -> Plane:
    half = np.float32(pitch_mm / 2)
    return np.asarray(np.abs((along + half) % np.float32(pitch_mm) - half), dtype=np.float32)


def scratch_number(slab: Slab, tile: TilePicture, chance: Chance) -> None:
    """Scratch the tile number into the bare foot with a needle, burr and all."""
    high = min(7.5, tile.width_mm * 0.86 / max(digits.length_mm(tile.number, 1.0), 1.0))
    left = (tile.width_mm - digits.length_mm(tile.number, high)) / 2 + chance.uniform(-1, 1)
    top = tile.height_mm - high - 3.6
    strip = slab.box(-MARGIN_MM, top - 2, tile.width_mm + MARGIN_MM, top + high + 3)
    shape = strip[0].stop - strip[0].start, strip[1].stop
    groove = _groove(tile.number, high, (left + MARGIN_MM, 2), slab.px_per_mm, shape, chance)
    soft = noise.blur(groove, 0.35 * slab.px_per_mm)
    slab.relief_mm[strip] += np.float32(0.25) * np.clip(soft - groove, 0, 1) - np.float32(0.55) * groove
    slab.ridge[strip] -= np.float32(0.8) * groove


def _groove(
    number: str, high_mm: float, at: tuple[float, float], scale: float, shape: tuple[int, int], chance: Chance
) -> Plane:
    """How deep each point of a strip of clay is scratched, 0 to 1."""
    sheet = Image.new("L", (shape[1], shape[0]))
    pen = ImageDraw.Draw(sheet)
    for stroke in digits.scratched(number, high_mm, chance):
        line = [((at[0] + x) * scale, (at[1] + y) * scale) for x, y in stroke]
        pen.line(line, fill=255, width=max(2, round(0.62 * scale)), joint="curve")
    soft = sheet.filter(ImageFilter.GaussianBlur(0.16 * scale))
    return np.asarray(soft, dtype=np.float32) / np.float32(255)

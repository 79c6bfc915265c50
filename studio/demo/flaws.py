"""Flaws as they look: one drawing for each word of the trade that shows in a photograph."""

from collections.abc import Callable

import numpy as np

from studio.demo import noise
from studio.demo.clay import Slab
from studio.demo.coats import Patch
from studio.demo.noise import Chance, Plane
from studio.demo.picture import FlawPicture

Drawing = Callable[[Slab, Patch, float, Chance], None]


def draw_flaw(slab: Slab, patch: Patch, flaw: FlawPicture, chance: Chance) -> None:
    """Draw one flaw on the patch of glaze it belongs to; what does not show is left alone."""
    if flaw.kind in DRAWINGS:
        DRAWINGS[flaw.kind](slab, patch, flaw.amount, chance)


def crazing(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """A net of fine dark cracks; more of it is a finer, darker net."""
    net = noise.cells(slab.px_per_mm, round(5.5 - 2.5 * amount, 1))
    distance = noise.cut(net, chance, _shape(patch))
    fading = np.clip(patch.cut("cloud", chance) + np.float32(2.2 * amount), 0, 1)
    crack = np.exp(-((distance / np.float32(0.022)) ** 2)) * fading * _inside(patch)
    slab.colour[(slice(None), *patch.box)] *= 1 - np.float32(0.28 + 0.4 * amount) * crack
    slab.relief_mm[patch.box] -= crack * np.float32(0.03)


def crawling(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """Glaze drawn back into rolled islands, bare clay between them."""
    lumps = patch.cut("patch", chance) + np.float32(0.18) * patch.cut("mottle", chance)
    edge = 1.9 - 1.5 * amount
    bare = noise.smoothstep(edge - 0.06, edge + 0.06, lumps) * _inside(patch)
    rolled = np.exp(-(((lumps - edge + 0.3) / 0.24) ** 2)) * _inside(patch)
    clay = slab.body
    colour = slab.colour[(slice(None), *patch.box)]
    grain = 1 + np.float32(0.06) * patch.cut("grain", chance)
    colour += (clay[:, None, None] * grain - colour) * bare
    slab.relief_mm[patch.box] += np.float32(0.45) * rolled - np.float32(0.3) * bare
    slab.sheen[patch.box] *= 1 - bare
    slab.rough[patch.box] += (1 - slab.rough[patch.box]) * bare


def pinholing(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """Small dark holes down to the body."""
    hole = noise.dots(slab.px_per_mm, round(2 + 15 * amount), 0.14, chance, _shape(patch)) * _inside(patch)
    slab.colour[(slice(None), *patch.box)] *= 1 - np.float32(0.72) * hole
    slab.relief_mm[patch.box] -= hole * np.float32(0.22)
    slab.sheen[patch.box] *= 1 - hole


def pitting(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """Shallow holes, wider than pinholes."""
    hole = noise.dots(slab.px_per_mm, round(4 + 14 * amount), 0.42, chance, _shape(patch)) * _inside(patch)
    slab.colour[(slice(None), *patch.box)] *= 1 - np.float32(0.18) * hole
    slab.relief_mm[patch.box] -= hole * np.float32(0.2)


def blistering(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """Bubbles frozen in the surface, some of them burst."""
    for x, y, r in _spots(patch, 4 + 26 * amount, (0.35, 1.25), chance):
        gap, box = _round(slab, patch, x, y, r)
        slab.relief_mm[box] += np.sqrt(np.clip(1 - gap**2, 0, 1)) * np.float32(0.42 * r)
    cratering(slab, patch, amount * 0.6, chance)


def cratering(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """Burst bubbles left as sharp rings with a dark floor."""
    for x, y, r in _spots(patch, 2 + 10 * amount, (0.4, 1.1), chance):
        gap, box = _round(slab, patch, x, y, r * 1.5)
        floor, ring = noise.smoothstep(0.62, 0.5, gap), np.exp(-(((gap - 0.68) / 0.12) ** 2))
        slab.colour[(slice(None), *box)] *= 1 - np.float32(0.6) * floor
        slab.relief_mm[box] += ring * np.float32(0.35) - floor * np.float32(0.45)
        slab.rough[box] += (np.float32(0.9) - slab.rough[box]) * floor


def dimpling(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """Skin of an orange: shallow dimples all over."""
    slab.relief_mm[patch.box] += patch.cut("peel", chance) * _inside(patch) * np.float32(0.03 + 0.04 * amount)


def scumming(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """Pale salts in clouds on the surface."""
    cloud = patch.cut("patch", chance) + np.float32(0.2) * patch.cut("grain", chance)
    haze = noise.smoothstep(1.3 - 1.5 * amount, 2.2 - 1.2 * amount, cloud) * _inside(patch)
    _veil(slab, patch, haze * np.float32(0.3 + 0.25 * amount))


def devitrification(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """Dull crystals in what should be clear glass."""
    cloud = patch.cut("patch", chance) + np.float32(0.45) * patch.cut("mottle", chance)
    haze = noise.smoothstep(0.9 - 1.2 * amount, 2.4 - 1.0 * amount, cloud) * _inside(patch)
    stars = noise.dots(slab.px_per_mm, 160, 0.08, chance, _shape(patch))
    _veil(slab, patch, haze * (np.float32(0.10) + np.float32(0.35) * stars))


def shivering(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """Slivers of glaze gone from the edges."""
    edge = noise.smoothstep(1.2 + 1.8 * amount, 0.3, patch.depth_mm)
    chips = patch.cut("mottle", chance) + np.float32(0.8) * patch.cut("patch", chance)
    gone = noise.smoothstep(0.75 - amount, 0.9 - amount, chips) * edge * _inside(patch)
    clay = slab.body[:, None, None] * np.float32(1.12)
    colour = slab.colour[(slice(None), *patch.box)]
    colour += (clay - colour) * np.clip(gone * 1.6, 0, 1)
    slab.relief_mm[patch.box] -= gone * np.float32(0.4)
    slab.sheen[patch.box] *= 1 - gone


def bloating(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """The body itself swollen by gas."""
    for x, y, r in _spots(patch, 2 + 4 * amount, (3.0, 6.5), chance):
        gap, box = _round(slab, patch, x, y, r)
        slab.relief_mm[box] += np.clip(1 - gap**2, 0, 1) ** 2 * np.float32(0.5 * r)


def dunting(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """One crack through the whole tile."""
    wander = noise.wave(noise.field("patch", slab.px_per_mm), chance, slab.shape[1]) * np.float32(1.6)
    fine = noise.wave(noise.field("peel", slab.px_per_mm), chance, slab.shape[1]) * np.float32(0.3)
    middle = np.float32(slab.v_mm[-1] * chance.uniform(0.3, 0.7))
    slope = np.float32(chance.uniform(-0.3, 0.3))
    line = middle + slope * (slab.u_mm - slab.u_mm.mean()) + wander + fine
    crack = np.exp(-(((slab.v_mm[:, None] - line[None, :]) / np.float32(0.16 + 0.2 * amount)) ** 2))
    slab.colour *= 1 - np.float32(0.85) * crack
    slab.relief_mm -= crack * np.float32(0.4)


def plucking(slab: Slab, patch: Patch, amount: float, chance: Chance) -> None:
    """A bite torn from the lower edge where it stuck to the shelf."""
    low, half = float(slab.v_mm[-1]) - 3.0, float(slab.u_mm[-1]) / 2
    for _ in range(1 + round(2 * amount)):
        x, r = half + chance.uniform(-0.6, 0.6) * half, chance.uniform(1.5, 3.0) * (0.6 + amount)
        box = slab.box(x - 2 * r, low - 2 * r, x + 2 * r, low + 4)
        away = np.hypot(slab.u_mm[box[1]][None, :] - x, slab.v_mm[box[0]][:, None] - low) / r
        torn = away + np.float32(0.12) * noise.cut(noise.field("peel", slab.px_per_mm), chance, away.shape)
        bite = noise.smoothstep(1.0, 0.85, torn)
        colour = slab.colour[(slice(None), *box)]
        colour += (slab.body[:, None, None] * np.float32(0.8) - colour) * bite
        slab.relief_mm[box] -= bite * np.float32(0.8)
        slab.sheen[box] *= 1 - bite


DRAWINGS: dict[str, Drawing] = {
    "crazing": crazing,
    "crawling": crawling,
    "pinholing": pinholing,
    "pitting": pitting,
    "blistering": blistering,
    "cratering": cratering,
    "dimpling": dimpling,
    "scumming": scumming,
    "devitrification": devitrification,
    "shivering": shivering,
    "bloating": bloating,
    "dunting": dunting,
    "plucking": plucking,
}


def _shape(patch: Patch) -> tuple[int, int]:
    return patch.depth_mm.shape[0], patch.depth_mm.shape[1]


def _inside(patch: Patch) -> Plane:
    return np.asarray(np.clip(patch.depth_mm * 2, 0, 1), dtype=np.float32)


def _veil(slab: Slab, patch: Patch, haze: Plane) -> None:
    colour = slab.colour[(slice(None), *patch.box)]
    colour += (np.float32(0.62) - colour) * haze
    slab.rough[patch.box] += (1 - slab.rough[patch.box]) * np.clip(haze * 2, 0, 0.8)


def _spots(
    patch: Patch, count: float, radii_mm: tuple[float, float], chance: Chance
) -> list[tuple[float, float, float]]:
    """Places inside the patch [px from its corner] with a radius [mm]."""
    rows, columns = np.nonzero(patch.depth_mm[::7, ::7] > 1)
    if not len(rows):
        return []
    picked = chance.integers(0, len(rows), round(count))
    return [(columns[i] * 7.0, rows[i] * 7.0, float(chance.uniform(*radii_mm))) for i in picked]


def _round(slab: Slab, patch: Patch, x: float, y: float, r_mm: float) -> tuple[Plane, tuple[slice, slice]]:
    """Distance from a spot [radii] over the box around it."""
    r, top, left = r_mm * slab.px_per_mm, patch.box[0].start, patch.box[1].start
    rows = slice(max(int(top + y - r), 0), int(top + y + r) + 1)
    columns = slice(max(int(left + x - r), 0), int(left + x + r) + 1)
    v = np.arange(*rows.indices(slab.shape[0]), dtype=np.float32)[:, None] - np.float32(top + y)
    u = np.arange(*columns.indices(slab.shape[1]), dtype=np.float32)[None, :] - np.float32(left + x)
    return np.hypot(u, v) / np.float32(r), (rows, columns)

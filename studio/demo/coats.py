"""Glaze on a tile: brushed coats, edges, runs and pools, and the colour a thickness of it gives."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studio.demo import noise
from studio.demo.clay import Slab
from studio.demo.light import to_linear
from studio.demo.noise import Chance, Plane
from studio.demo.picture import CoatPicture, ZonePicture

# How rough (0 mirror, 1 chalk) and how bright the shine of each surface is drawn.
FINISH = {
    "glossy": (0.05, 1.0),
    "semi": (0.3, 0.85),
    "satin": (0.55, 0.62),
    "matt": (0.85, 0.34),
    "dry": (1.0, 0.04),
}
COAT_MM = 0.16


@dataclass(slots=True)
class Patch:
    """The part of a slab one zone reaches, runs included: its box, and planes as large as the box.

    depth_mm : distance in from the edge of the glaze; bead : 1 in the thick lower rim of a run;
    low : 0 at the top of the zone to 1 at its lower edge; ridge : as the slab's.
    """

    box: tuple[slice, slice]
    px_per_mm: float
    depth_mm: Plane
    bead: Plane
    low: Plane
    ridge: Plane

    def cut(self, name: str, chance: Chance) -> Plane:
        """A piece of a field of chance as large as the patch."""
        return noise.cut(
            noise.field(name, self.px_per_mm), chance, (self.depth_mm.shape[0], self.depth_mm.shape[1])
        )


def glaze_zone(slab: Slab, zone: ZonePicture, chance: Chance) -> Patch:
    """Lay a zone's coats on the slab, bottom to top: colour, height, shine. Returns where they lie."""
    patch = reach(slab, zone, chance)
    colour = slab.colour[(slice(None), *patch.box)]
    under = np.zeros_like(patch.depth_mm)
    for layer in zone.layers:
        thick = thickness(patch, zone, layer, chance)
        colour[:] = laid_over(colour, thick, tint(patch, zone, layer, thick, chance), layer)
        under += thick if layer.kind not in ("wash", "underglaze") else thick * np.float32(0.15)
    bleed_through(slab, patch, zone, under, colour)
    finish(slab, patch, zone, under, chance)
    return patch


def reach(slab: Slab, zone: ZonePicture, chance: Chance) -> Patch:
    """Where a zone's glaze ends up: its uneven edges, and the runs below it."""
    low_mm = zone.y_mm + zone.h_mm
    box = slab.box(zone.x_mm - 2, zone.y_mm - 2, zone.x_mm + zone.w_mm + 2, low_mm + zone.run_mm + 2)
    u, v = slab.u_mm[box[1]], slab.v_mm[box[0]]
    lower, drop = lower_edge(slab.px_per_mm, zone, u, chance)
    fall = np.float32(1) / np.sqrt(1 + np.gradient(lower, u[1] - u[0]) ** 2)
    up = (lower[None, :] - v[:, None]) * np.maximum(fall, 0.18)[None, :]
    side = _sides(slab.px_per_mm, zone, u, v, chance)
    depth = np.minimum(np.minimum(side, up), slab.depth_mm[box] + np.float32(0.4))
    depth += noise.cut(noise.field("grain", slab.px_per_mm), chance, up.shape) * np.float32(0.05)
    bead = np.exp(-(((up - 1.0) / 1.1) ** 2)) * np.clip(drop / 5, 0, 1)[None, :]
    low = np.clip((v[:, None] - zone.y_mm) / (lower[None, :] - zone.y_mm), 0, 1)
    return Patch(box, slab.px_per_mm, depth, bead, low, slab.ridge[box])


def _sides(px_per_mm: float, zone: ZonePicture, u: Plane, v: Plane, chance: Chance) -> Plane:
    brush = noise.field("peel", px_per_mm), noise.field("patch", px_per_mm)
    rough = (0.12, 0.3) if zone.method == "brush" else (0.05, 0.22)

    def edge(length: int) -> Plane:
        return sum(  # type: ignore[return-value]
            np.float32(size) * noise.wave(sheet, chance, length)
            for size, sheet in zip(rough, brush, strict=True)
        )

    left = u[None, :] - zone.x_mm + edge(len(v))[:, None]
    right = zone.x_mm + zone.w_mm - u[None, :] + edge(len(v))[:, None]
    top = v[:, None] - zone.y_mm + edge(len(u))[None, :]
    return np.minimum(np.minimum(left, right), top)


def lower_edge(px_per_mm: float, zone: ZonePicture, u: Plane, chance: Chance) -> tuple[Plane, Plane]:
    """The lower edge of the glaze at each column [mm down the tile], and how far it ran there [mm]."""
    wavy = noise.wave(noise.field("patch", px_per_mm), chance, len(u)) * np.float32(0.25)
    drop = np.zeros_like(u)
    count = max(1, round(zone.w_mm / chance.uniform(5.5, 10)))
    spots = (np.arange(count) + chance.uniform(0.25, 0.75, count)) / count
    longest = int(chance.integers(count))
    for i, spot in enumerate(spots):
        length = zone.run_mm * (1.0 if i == longest else chance.uniform(0.25, 0.85))
        wide = min(chance.uniform(1.5, 3.2) + 0.05 * length, zone.w_mm / 2)
        centre = np.clip(zone.x_mm + spot * zone.w_mm, zone.x_mm + wide, zone.x_mm + zone.w_mm - wide)
        q = np.abs((u - np.float32(centre)) / np.float32(wide))
        tongue = np.sqrt(np.clip(1 - q**2.6, 0, 1)) * 0.72 + np.exp(-((q / 1.25) ** 2)) * 0.28
        drop = np.maximum(drop, np.float32(length) * tongue)
    drop = (
        noise.blur(np.ascontiguousarray(np.tile(drop, (3, 1))), 0.3 * px_per_mm)[1] if zone.run_mm else drop
    )
    return zone.y_mm + zone.h_mm + wavy + drop, drop


def thickness(patch: Patch, zone: ZonePicture, layer: CoatPicture, chance: Chance) -> Plane:
    """How thick one layer lies after firing [coats]: brush marks, thin on edges, thick in hollows and beads."""
    thick = applied(patch, zone, layer, chance)
    run = min(zone.run_mm / 14, 1.0)
    thick *= 1 - np.float32(0.35 * run) * (1 - patch.low)
    thick *= 1 + np.float32(0.25 + 0.75 * run) * patch.bead
    pool = noise.smoothstep(0.7, 1.0, patch.low) * np.float32(0.55 * zone.pooling)
    thick *= 1 + pool + np.float32(0.9 * zone.pooling + 0.2) * np.clip(-patch.ridge, 0, 1.2)
    thick *= 1 - np.float32(0.25 + 0.6 * zone.breaking) * np.clip(patch.ridge, 0, 1)
    if layer.kind == "wash":
        thick *= np.float32(0.35) + np.float32(1.6) * np.clip(-patch.ridge, 0, 1)
    rim = np.float32(0.9 if zone.surface in ("glossy", "semi") else 0.5)
    return np.maximum(thick * np.sqrt(np.clip(patch.depth_mm / rim, 0, 1)), 0)


def applied(patch: Patch, zone: ZonePicture, layer: CoatPicture, chance: Chance) -> Plane:
    """The raw layer [coats]: each brushed coat streaky in its own direction, so that more coats even out."""
    streaky = next((flaw.amount for flaw in zone.flaws if flaw.kind == "streaking"), 0.0)
    healed = 0.5 if zone.surface in ("glossy", "semi") else 0.8
    spread = {"brush": 0.42, "sponge": 0.35, "spray": 0.12}.get(zone.method, 0.08) * healed + 0.5 * streaky
    raw = np.zeros_like(patch.depth_mm)
    for number in range(int(np.ceil(layer.coats))):
        part = np.float32(min(1.0, layer.coats - number))
        mark = _mark(patch, zone.method, number, chance)
        raw += part * np.clip(1 + np.float32(spread / (1 + 0.35 * number)) * mark, 0.12, 2.2)
    return raw


def _mark(patch: Patch, method: str, number: int, chance: Chance) -> Plane:
    """Where one coat is thick and where thin, mean 0 and spread about 1."""
    if method == "brush":
        way = "down" if number % 2 else "across"
        broad, hairs = patch.cut(way, chance), patch.cut(f"hairs_{way}", chance)
        return (
            broad * np.float32(0.6)
            + hairs * np.float32(0.35 / (1 + number))
            + patch.cut("patch", chance) * np.float32(0.55)
        )
    return patch.cut("mottle" if method == "sponge" else "cloud", chance)


def tint(
    patch: Patch, zone: ZonePicture, layer: CoatPicture, thick: Plane, chance: Chance
) -> NDArray[np.float32]:
    """The layer's own colour at each point, linear light: thin, broken, mottled, flowing."""
    full, thin, broken = (to_linear(c)[:, None, None] for c in (layer.rgb, layer.thin_rgb, layer.break_rgb))
    patchy = patch.cut("mottle", chance) * np.float32(0.16) + patch.cut("patch", chance) * np.float32(0.12)
    body = noise.smoothstep(0.35, 1.9, thick + patchy * thick)
    colour = thin + (full - thin) * body
    bare = np.clip(np.clip(patch.ridge, 0, 1) * np.float32(0.35 + 1.1 * zone.breaking), 0, 1)
    colour += (broken - colour) * bare
    if layer.float_rgb:
        drift = floating(patch, zone, layer, chance) * body * (1 - bare)
        colour += (to_linear(layer.float_rgb)[:, None, None] - colour) * drift
    if layer.speckle:
        spots = noise.dots(patch.px_per_mm, 30, 0.2, chance, thick.shape)
        colour *= 1 - np.float32(0.7 * layer.speckle) * spots
    return colour


def floating(patch: Patch, zone: ZonePicture, layer: CoatPicture, chance: Chance) -> Plane:
    """How much of the second colour floats on top: mottling, drawn out to rivulets where the glaze moved."""
    mottled = patch.cut("patch", chance) * np.float32(0.5) + patch.cut("mottle", chance) * np.float32(0.5)
    mottled += patch.cut("peel", chance) * np.float32(0.45) + patch.cut("grain", chance) * np.float32(0.25)
    streams = patch.cut("rivulet", chance) * np.float32(0.75) + patch.cut("fur", chance) * np.float32(0.5)
    flow = np.float32(min(1.0, zone.movement + zone.run_mm / 25))
    mixed = mottled * (1 - flow) + streams * flow + np.float32(0.5) * flow * (patch.low - np.float32(0.35))
    restless = max(layer.mottle, zone.movement)
    edge = 1.25 - 1.1 * restless
    return noise.smoothstep(edge - 1.3, edge + 1.5, mixed) * np.float32(0.35 + 0.6 * restless)


def laid_over(
    below: NDArray[np.float32], thick: Plane, colour: NDArray[np.float32], layer: CoatPicture
) -> NDArray[np.float32]:
    """What shows when a layer lies over something: it takes light as glass does and gives some of its own."""
    hiding = np.float32(0.02 + 1.5 * layer.opacity**2)
    seen = np.exp(-hiding * thick)
    clear = np.float32(0.42 * (1 - layer.opacity))
    glass = np.exp(np.log(np.clip(colour / (colour.max() + 1e-6), 0.02, 1)) * (clear * thick))
    wet = np.float32(0.34) * np.clip(thick * 1.5, 0, 1)
    return below * (1 - wet * (1 - below)) * glass * seen + colour * (1 - seen)


def bleed_through(
    slab: Slab, patch: Patch, zone: ZonePicture, thick: Plane, colour: NDArray[np.float32]
) -> None:
    """Iron specks of the body melt into the glaze and stain it."""
    specks = slab.specks[patch.box]
    if not zone.bleed or not specks.any():
        return
    halo = np.clip(noise.blur(specks, 0.3 * slab.px_per_mm) * np.float32(1.6), 0, 1)
    stain = np.float32(zone.bleed) * np.maximum(specks, halo * np.float32(0.75)) * np.clip(thick * 2, 0, 1)
    warm = np.asarray([0.72, 0.88, 0.97], dtype=np.float32)[:, None, None]
    colour *= 1 - stain * warm


def flowed(thick: Plane, zone: ZonePicture, px_per_mm: float) -> Plane:
    """The thickness whose steps still stand: a melt levels its brush marks, a dry coat keeps them."""
    levelled = {"glossy": 0.94, "semi": 0.9, "satin": 0.87, "matt": 0.82}.get(zone.surface, 0.6)
    return thick + (noise.blur(thick, 0.7 * px_per_mm) - thick) * np.float32(levelled)


def finish(slab: Slab, patch: Patch, zone: ZonePicture, thick: Plane, chance: Chance) -> None:
    """Height, shine and grain of the fired surface."""
    rough, sheen = FINISH[zone.surface]
    cover = np.clip(thick * np.float32(2.2), 0, 1)
    relief = slab.relief_mm[patch.box]
    smooth = np.float32({"glossy": 0.8, "semi": 0.65, "satin": 0.5}.get(zone.surface, 0.25))
    healed = noise.blur(np.ascontiguousarray(relief), 0.55 * slab.px_per_mm)
    relief += (healed - relief) * (smooth * np.clip(thick * np.float32(0.6), 0, 1))
    relief += flowed(thick, zone, slab.px_per_mm) * np.float32(COAT_MM) + patch.bead * np.clip(
        patch.depth_mm, 0, 1
    ) * np.float32(0.22)
    relief += patch.cut("patch", chance) * cover * np.float32(0.030) + patch.cut(
        "mottle", chance
    ) * cover * np.float32(0.008)
    if zone.surface in ("matt", "dry", "satin"):
        relief += patch.cut("grain", chance) * cover * np.float32(0.012 * rough)
    slab.sheen[patch.box] += (np.float32(sheen) - slab.sheen[patch.box]) * cover
    slab.rough[patch.box] += (np.float32(rough) - slab.rough[patch.box]) * cover
    slab.glazed[patch.box] = np.maximum(slab.glazed[patch.box], cover)

"""Draws a photograph of a fired test tile on a grey table: same picture and seed, same photograph."""

from datetime import datetime
from io import BytesIO

import numpy as np
from PIL import Image

from studio.demo import coats, flaws, light, noise
from studio.demo.clay import Slab, bare_slab
from studio.demo.noise import Chance
from studio.demo.picture import TilePicture

SIZE_PX = (900, 1200)
SPARE_PX = 16  # room around a tile that lies askew
FILLED = 0.80  # of the picture's width or height, whichever the tile fills first


def photograph(tile: TilePicture, size_px: tuple[int, int] = SIZE_PX) -> Image.Image:
    """One face of a tile as a camera above a grey table sees it, RGB of ``size_px``."""
    scale = round(min(size_px[0] * FILLED / tile.width_mm, size_px[1] * FILLED / tile.height_mm), 1)
    slab = fired_slab(tile, scale)
    chance = noise.of_part(tile.seed, f"shot {tile.shot}")
    colour = light.shade(slab, chance) * np.float32(chance.uniform(0.95, 1.06))
    face = Image.fromarray(light.to_srgb(colour))
    face.putalpha(Image.fromarray((np.clip(slab.depth_mm * scale + 0.5, 0, 1) * 255).astype(np.uint8)))
    return on_table(face, scale, size_px, chance)


def fired_slab(tile: TilePicture, px_per_mm: float) -> Slab:
    """The tile with every zone glazed, fired and flawed."""
    slab = bare_slab(tile, px_per_mm, noise.of_part(tile.seed, "clay"))
    for place, zone in enumerate(tile.zones):
        if zone.layers:
            patch = coats.glaze_zone(slab, zone, noise.of_part(tile.seed, f"zone {place}"))
            for flaw in zone.flaws:
                flaws.draw_flaw(slab, patch, flaw, noise.of_part(tile.seed, f"zone {place} {flaw.kind}"))
    if tile.flash_rgb:
        flash(slab, tile)
    return slab


def flash(slab: Slab, tile: TilePicture) -> None:
    """Bare clay beside the glaze blushes."""
    assert tile.flash_rgb
    near = np.clip(noise.blur(slab.glazed, 3.5 * slab.px_per_mm) * 1.5, 0, 1) * (1 - slab.glazed)
    ratio = light.to_linear(tile.flash_rgb) / np.maximum(light.to_linear(tile.body_rgb), 0.01)
    slab.colour *= 1 + (ratio[:, None, None] - 1) * near


def on_table(face: Image.Image, px_per_mm: float, size_px: tuple[int, int], chance: Chance) -> Image.Image:
    """Lay the cut-out tile on the table, a little askew, with its shadow."""
    laid = askew(face, chance)
    shift_x, shift_y = (int(n) for n in chance.integers(-9, 10, 2))
    at = (size_px[0] - laid.width) // 2 + shift_x, (size_px[1] - laid.height) // 2 + shift_y
    mask = Image.new("L", size_px)
    mask.paste(laid.getchannel("A"), at)
    left, top = (int(n) for n in chance.integers(0, light.TABLE_SPARE_PX, 2))
    scene = light.table(size_px).crop((left, top, left + size_px[0], top + size_px[1]))
    scene.paste((14, 13, 13), (0, 0), light.shadow(mask, px_per_mm))
    scene.paste(laid, at, laid)
    return scene


def askew(face: Image.Image, chance: Chance) -> Image.Image:
    """The face as a hand-held camera sees it: turned by a degree or so, a trace nearer on one side."""
    angle = np.radians(chance.normal(0, 0.8))
    cos, sin = float(np.cos(angle)), float(np.sin(angle))
    lean, tip = chance.normal(0, 1.2e-5, 2).tolist()
    size = face.width + 2 * SPARE_PX, face.height + 2 * SPARE_PX
    x0, y0 = size[0] / 2, size[1] / 2
    keep = (cos, sin, x0 - SPARE_PX - cos * x0 - sin * y0, -sin, cos, y0 - SPARE_PX + sin * x0 - cos * y0)
    return face.transform(size, Image.Transform.PERSPECTIVE, (*keep, lean, tip), Image.Resampling.BILINEAR)


def jpeg(picture: Image.Image, taken: datetime, quality: int = 88) -> bytes:
    """The picture as a camera would keep it, with the time it was taken."""
    exif = Image.Exif()
    exif[0x0112] = 1  # upright
    exif[0x0132] = f"{taken:%Y:%m:%d %H:%M:%S}"
    exif.get_ifd(0x8769)[0x9003] = f"{taken:%Y:%m:%d %H:%M:%S}"
    kept = BytesIO()
    picture.save(kept, "JPEG", quality=quality, exif=exif)
    return kept.getvalue()

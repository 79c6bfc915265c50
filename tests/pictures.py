"""Image files that tests make for themselves."""

from pathlib import Path

import numpy
from PIL import Image


def tile_photo(path: Path, *, seed: int, width: int = 900, height: int = 1200) -> Path:
    """A plain picture that no other seed gives: grey surround, a tile, grain."""
    grain = numpy.random.default_rng(seed).integers(-8, 9, (height, width, 1))
    picture = numpy.full((height, width, 3), 118) + grain
    picture[height // 5 : -height // 5, width // 4 : -width // 4] = (60, 100 + seed % 100, 130) + grain[
        height // 5 : -height // 5, width // 4 : -width // 4
    ]
    Image.fromarray(picture.clip(0, 255).astype("uint8")).save(path, quality=88)
    return path

"""Ratios against a floor, measured in one run: python -m tests.bench.colour

sRGB bytes to L*a*b*, against numpy's bare matrix product and cube root on the same pixels; CIEDE2000, against the plain
distance; finding a chart, against Pillow's own shrinking of the photo. Ratios travel between machines; times do not.
"""

import sys
from collections.abc import Callable

import numpy as np
from PIL import Image

from tests.bench.heatwork import best_of
from tests.tiles.colour.scenes import Shot, photographed
from tiles.colour.chart import FoundChart, find_chart
from tiles.colour.difference import cie76, ciede2000
from tiles.colour.lab import LINEAR_TO_XYZ, Illuminant, srgb_to_lab

MOST_FOR_LAB = 5.0
MOST_FOR_A_DIFFERENCE = 25.0
MOST_FOR_A_CHART = 25.0
PIXELS = (500, 1000, 3)


def ratio(ours: Callable[[], object], floor: Callable[[], object]) -> float:
    first, second = best_of(5, ours, floor)
    return first / second


def main() -> int:
    chance = np.random.default_rng(1)
    pixels = chance.integers(0, 256, PIXELS, dtype=np.uint8)
    light, matrix = pixels / 255.0, LINEAR_TO_XYZ[Illuminant.D65]
    lab_ratio = ratio(lambda: srgb_to_lab(pixels), lambda: np.cbrt(light @ matrix.T))
    first, second = srgb_to_lab(pixels), srgb_to_lab(pixels[::-1])
    difference_ratio = ratio(lambda: ciede2000(first, second), lambda: cie76(first, second))
    photo = photographed(Shot(size=(4000, 3000)))
    assert isinstance(find_chart(photo), FoundChart)
    chart_ratio = ratio(lambda: find_chart(photo), lambda: photo.resize((1100, 825), Image.Resampling.BOX))
    print(f"half a million pixels to L*a*b*: {lab_ratio:.1f} × numpy's matrix and cube root")
    print(f"half a million CIEDE2000: {difference_ratio:.1f} × the plain distance")
    print(f"a chart found in 12 megapixels: {chart_ratio:.0f} × shrinking the photo once")
    kept = (
        lab_ratio <= MOST_FOR_LAB,
        difference_ratio <= MOST_FOR_A_DIFFERENCE,
        chart_ratio <= MOST_FOR_A_CHART,
    )
    return 0 if all(kept) else 1


if __name__ == "__main__":
    sys.exit(main())

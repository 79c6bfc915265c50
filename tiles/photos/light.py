"""How a photo was lit and focused, and what to do better: read from the mat's white paper and the edges of its codes.

Directions are of the upright photo as one looks at it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tiles.colour import srgb
from tiles.colour.homography import through
from tiles.colour.srgb import Array
from tiles.photos import mat_sheet
from tiles.photos.mat import ReadCode, SeenMat

# Coded values that no longer tell how bright a place was: as in `tiles.colour.chart`.
BLOWN_AT, BLACK_AT = 254, 1

# Bars beyond which something is said.
# ΔE00 of a middle grey under 15 % less light is 4 to 5 (from CIE L*): more than a repeated measurement strays.
MOST_FALL_OFF = 0.15
# A shadow's edge: a place darker than the even slope of light by so much. Paper and printing stay within 5 % (measured
# here on rendered mats); common practice, no source, for the bar.
MOST_SHADOW = 0.20
# Common practice, no source: beyond this the far end of a tile is out of focus before the near one.
MOST_TILT_DEG = 20.0
# Five pixels to the smallest step of run that is judged, 1 mm.
FEWEST_PX_PER_MM = 5.0
# Rendered photos measured here: sharp ones have edges of 2 to 3 px from a tenth to nine tenths. Blurred is what is
# both wider than the camera's own edge and wide enough to hide a pinhole of half a millimetre.
MOST_EDGE_PX, MOST_EDGE_MM = 4.5, 0.5
# Common practice, no source.
MOST_CLIPPED, MOST_GLARE = 0.02, 0.03
# Glare is what is nearly as bright as the paper on a surface that is, for the most part, much darker.
GLARE_OF_PAPER, GLARE_OF_MEDIAN = 0.85, 1.8


@dataclass(frozen=True, slots=True)
class Light:
    """What a photo's light and focus are like; None where nothing in view could tell.

    `fall_off` is how much darker the darkest corner of the mat is lit than its brightest, as a share, and `towards`
    where it lies; `slope` is the change of light across the whole photo to the right and down, as shares of the light
    in its middle; `shadow` is how far the darkest tenth of the paper lies below that slope. `edge_px` and `edge_mm`
    are the width of a printed edge from a tenth to nine tenths of its step, in the original. Clipped shares and
    `glare` are of the tile's place where the mat is in view, else of the whole photo, as `looked_at` says.
    """

    fall_off: float | None
    towards: str
    slope: tuple[float, float] | None
    shadow: float | None
    edge_px: float | None
    edge_mm: float | None
    blown: float
    black: float
    glare: float | None
    looked_at: str

    def at(self, place: Sequence[float]) -> float:
        """The light at a place [shares] against that in the photo's middle; 1 where it is not known.

        Divide light by it before colours from two places are compared.
        """
        if self.slope is None:
            return 1.0
        return max(0.2, 1 + self.slope[0] * (place[0] - 0.5) + self.slope[1] * (place[1] - 0.5))

"""A photo ready to be measured: its pixels in sRGB, and how its colours are put right."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tiles.colour.chart import NoChart, find_chart
from tiles.colour.correction import UNCORRECTED, Basis, Correction
from tiles.colour.homography import through
from tiles.colour.placing import Corners, middle_of, pixels_within
from tiles.colour.regions import AreaColour, area_colour
from tiles.colour.swatch import KEPT_UNDER
from tiles.photos.light import Light
from tiles.photos.look import Look, SeenChart, SeenGreyCard
from tiles.photos.mat import SeenMat

# The longest side at which a photo is measured [px]: a zone of 20 mm still has thousands of pixels.
MEASURED_AT_PX = 2000


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """`pixels` (h, w, 3) of the upright photo; `light` tells how unevenly it is lit, `corrected_at` [shares] where the
    chart or card lies that it was put right by; None where that is not known.
    """

    pixels: NDArray[np.uint8]
    correction: Correction
    mat: SeenMat | None = None
    light: Light | None = None
    corrected_at: tuple[float, float] | None = None

    @property
    def basis(self) -> Basis:
        return self.correction.basis

    def read(self, corners: Corners) -> AreaColour:
        """The colour of an area, L*a*b* under D50; raises ValueError in words where it has none."""
        return area_colour(
            pixels_within(self.pixels, corners), self.correction, KEPT_UNDER, self._more_light_by(corners)
        )

    def _more_light_by(self, corners: Corners) -> float:
        """How much more light falls on the chart than on an area."""
        if self.light is None or self.corrected_at is None:
            return 1.0
        return self.light.at(self.corrected_at) / self.light.at(middle_of(corners))


def scene_of(picture: Image.Image, look: Look | None) -> Scene:
    """A photo with what was found in it; without a look a chart is looked for here and now."""
    pixels = np.asarray(picture.convert("RGB"))
    if look is None:
        return _by_own_chart(picture, pixels)
    mat = look.mat if isinstance(look.mat, SeenMat) else None
    seen = (look.chart, look.grey_card)
    card = next((found for found in seen if isinstance(found, (SeenChart, SeenGreyCard))), None)
    at = middle_of(card.corners) if card else None
    return Scene(pixels, look.correction, mat, look.light, at)


def _by_own_chart(picture: Image.Image, pixels: NDArray[np.uint8]) -> Scene:
    found = find_chart(picture)
    if isinstance(found, NoChart):
        return Scene(pixels, UNCORRECTED)
    x, y = through(found.homography, (3.0, 2.0))
    return Scene(pixels, found.correction, corrected_at=(float(x) / picture.width, float(y) / picture.height))

"""The nearest plain name of a colour, out of a published open set.

The set: the named colours of CSS Color Module Level 4 (W3C), section 6.1, with their sRGB values, of which
those are taken whose names a person would say of a glaze; "brown" is not among them, as in the set it is a red. A name
is a help to the ear; the figures say the colour.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tiles.colour.difference import ciede2000
from tiles.colour.lab import Illuminant, srgb_to_lab

SOURCE = "CSS Color Module Level 4 (W3C), named colours"

NAMED_RGB = {
    "black": (0, 0, 0),
    "dim grey": (105, 105, 105),
    "grey": (128, 128, 128),
    "dark grey": (169, 169, 169),
    "light grey": (211, 211, 211),
    "white": (255, 255, 255),
    "ivory": (255, 255, 240),
    "linen": (250, 240, 230),
    "beige": (245, 245, 220),
    "slate grey": (112, 128, 144),
    "dark slate grey": (47, 79, 79),
    "maroon": (128, 0, 0),
    "dark red": (139, 0, 0),
    "firebrick": (178, 34, 34),
    "red": (255, 0, 0),
    "indian red": (205, 92, 92),
    "salmon": (250, 128, 114),
    "rosy brown": (188, 143, 143),
    "pink": (255, 192, 203),
    "misty rose": (255, 228, 225),
    "saddle brown": (139, 69, 19),
    "sienna": (160, 82, 45),
    "chocolate": (210, 105, 30),
    "peru": (205, 133, 63),
    "tan": (210, 180, 140),
    "wheat": (245, 222, 179),
    "coral": (255, 127, 80),
    "orange": (255, 165, 0),
    "dark orange": (255, 140, 0),
    "gold": (255, 215, 0),
    "goldenrod": (218, 165, 32),
    "dark goldenrod": (184, 134, 11),
    "dark khaki": (189, 183, 107),
    "khaki": (240, 230, 140),
    "yellow": (255, 255, 0),
    "olive": (128, 128, 0),
    "olive drab": (107, 142, 35),
    "dark olive green": (85, 107, 47),
    "yellow green": (154, 205, 50),
    "dark green": (0, 100, 0),
    "green": (0, 128, 0),
    "forest green": (34, 139, 34),
    "sea green": (46, 139, 87),
    "dark sea green": (143, 188, 143),
    "light green": (144, 238, 144),
    "teal": (0, 128, 128),
    "cadet blue": (95, 158, 160),
    "turquoise": (64, 224, 208),
    "light blue": (173, 216, 230),
    "powder blue": (176, 224, 230),
    "sky blue": (135, 206, 235),
    "steel blue": (70, 130, 180),
    "light steel blue": (176, 196, 222),
    "royal blue": (65, 105, 225),
    "blue": (0, 0, 255),
    "navy": (0, 0, 128),
    "midnight blue": (25, 25, 112),
    "dark slate blue": (72, 61, 139),
    "slate blue": (106, 90, 205),
    "lavender": (230, 230, 250),
    "indigo": (75, 0, 130),
    "purple": (128, 0, 128),
    "orchid": (218, 112, 214),
    "plum": (221, 160, 221),
    "thistle": (216, 191, 216),
    "magenta": (255, 0, 255),
}
NAMES = tuple(NAMED_RGB)
LABS = {illuminant: srgb_to_lab(np.array(list(NAMED_RGB.values())), illuminant) for illuminant in Illuminant}


@dataclass(frozen=True, slots=True)
class Named:
    """The nearest name, and how far the colour is from it [ΔE00]."""

    name: str
    apart: float


def nearest(lab: ArrayLike, illuminant: Illuminant = Illuminant.D65) -> Named:
    """The name nearest to one L*a*b* colour, by CIEDE2000.

    >>> nearest([39, 24, 33]).name
    'saddle brown'
    """
    apart = ciede2000(np.asarray(lab, dtype=np.float64), LABS[illuminant])
    place = int(np.argmin(apart))
    return Named(NAMES[place], float(apart[place]))

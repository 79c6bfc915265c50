"""A measured colour as a patch on the screen, and in words."""

from functools import lru_cache

from tiles.colour.lab import Illuminant, lab_to_srgb
from tiles.colour.names import nearest

# Kept colours are L*a*b* under this light, as charts and most instruments state them.
KEPT_UNDER = Illuminant.D50


@lru_cache(maxsize=4096)
def hex_of(lab_l: float, lab_a: float, lab_b: float) -> str:
    """The nearest colour a screen shows to a kept L*a*b* colour, such as #777777; out of gamut is clipped.

    >>> hex_of(100, 0, 0), hex_of(0, 0, 0)
    ('#ffffff', '#000000')
    """
    shown = lab_to_srgb((lab_l, lab_a, lab_b), KEPT_UNDER).clip(0, 255)
    return "#" + "".join(f"{round(float(channel)):02x}" for channel in shown)


# Half a step of eight bits: what rounds to a colour of the screen is one.
EDGE = 0.5
BEYOND = "beyond sRGB, nearest shown"


def is_in_gamut(lab_l: float, lab_a: float, lab_b: float) -> bool:
    """Whether sRGB holds a kept colour, so that a patch of it is not merely the nearest there is.

    >>> is_in_gamut(50, 0, 0), is_in_gamut(50, 0, -90)
    (True, False)
    """
    coded = lab_to_srgb((lab_l, lab_a, lab_b), KEPT_UNDER)
    return bool((coded >= -EDGE).all() and (coded <= 255 + EDGE).all())


@lru_cache(maxsize=4096)
def name_of(lab_l: float, lab_a: float, lab_b: float) -> str:
    """The nearest plain name of a kept colour.

    >>> name_of(39, 24, 33)
    'saddle brown'
    """
    return nearest((lab_l, lab_a, lab_b), KEPT_UNDER).name


def figures_of(lab_l: float, lab_a: float, lab_b: float) -> str:
    """L*a*b* as it is read: L* 39.0, a* 24.0, b* −3.0, with a true minus.

    >>> figures_of(39, 24, -3)
    'L* 39.0, a* 24.0, b* −3.0'
    """
    parts = (("L*", lab_l), ("a*", lab_a), ("b*", lab_b))
    return ", ".join(f"{axis} {round(value, 1) + 0.0:.1f}" for axis, value in parts).replace("-", "−")

"""How far two colours are apart: CIEDE2000, and the plain distance CIE76. About 1 is a difference that is just seen."""

import numpy as np
from numpy.typing import ArrayLike

from tiles.colour.srgb import Array

# Two hues count as not more than half a circle apart [°] up to this much rounding: exactly opposite hues would else
# come out differently by direction.
ROUNDING_DEG = 1e-9
POW_25_7 = 25.0**7


def cie76(lab_a: ArrayLike, lab_b: ArrayLike) -> Array:
    """The straight distance in L*a*b* (CIE 1976); shapes (..., 3), broadcast against each other.

    >>> round(float(cie76([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    4.0011
    """
    apart = np.asarray(lab_a, dtype=np.float64) - np.asarray(lab_b, dtype=np.float64)
    return np.asarray(np.linalg.norm(apart, axis=-1))


def ciede2000(lab_a: ArrayLike, lab_b: ArrayLike) -> Array:
    """The colour difference CIEDE2000 with kL = kC = kH = 1.

    Parameters
    ----------
    lab_a, lab_b : L*a*b* under the same illuminant, shapes (..., 3), broadcast against each other

    Returns
    -------
    ΔE00, shape (...)

    Source: Sharma, Wu, Dalal 2005, Color Res. Appl. 30(1), equations 2 to 22. Meant for differences below
    about 5; above it still orders colours, but its size says less.

    >>> round(float(ciede2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    first, second = np.asarray(lab_a, dtype=np.float64), np.asarray(lab_b, dtype=np.float64)
    chroma_mean = (np.hypot(first[..., 1], first[..., 2]) + np.hypot(second[..., 1], second[..., 2])) / 2
    stretch = 1.5 - 0.5 * _share_of_25(chroma_mean)
    c1, h1 = _chroma_and_hue(first, stretch)
    c2, h2 = _chroma_and_hue(second, stretch)
    turn, hue_mean = _turn_and_mean_hue(h1, h2, c1 * c2 == 0)
    return _weighed(
        (first[..., 0], second[..., 0]), (c1, c2), 2 * np.sqrt(c1 * c2) * _sin(turn / 2), hue_mean
    )


def _share_of_25(chroma: Array) -> Array:
    """√(C⁷ / (C⁷ + 25⁷)), which rises from 0 for greys to 1 for strong colours."""
    return np.sqrt(chroma**7 / (chroma**7 + POW_25_7))


def _chroma_and_hue(lab: Array, stretch: Array) -> tuple[Array, Array]:
    """C' and h' [°, 0 to 360] with a* stretched."""
    a, b = lab[..., 1] * stretch, lab[..., 2]
    return np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360


def _turn_and_mean_hue(h1: Array, h2: Array, grey: Array) -> tuple[Array, Array]:
    """Δh' and the mean hue [°]; where one colour is grey it has no hue, and the other's counts."""
    apart, total = h2 - h1, h1 + h2
    near = np.abs(apart) <= 180 + ROUNDING_DEG
    turn = np.where(grey, 0.0, np.where(near, apart, apart - 360 * np.sign(apart)))
    across = np.where(total < 360, (total + 360) / 2, (total - 360) / 2)
    return turn, np.where(grey, total, np.where(near, total / 2, across))


def _weighed(lightness: tuple[Array, Array], chroma: tuple[Array, Array], d_hue: Array, hue: Array) -> Array:
    """The three differences by their weights, and the turn between chroma and hue in the blues."""
    light, mean_chroma = (lightness[0] + lightness[1]) / 2, (chroma[0] + chroma[1]) / 2
    t = (
        1
        - 0.17 * _cos(hue - 30)
        + 0.24 * _cos(2 * hue)
        + 0.32 * _cos(3 * hue + 6)
        - 0.20 * _cos(4 * hue - 63)
    )
    s_l = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    dl = (lightness[1] - lightness[0]) / s_l
    dc = (chroma[1] - chroma[0]) / (1 + 0.045 * mean_chroma)
    dh = d_hue / (1 + 0.015 * mean_chroma * t)
    r_t = -2 * _share_of_25(mean_chroma) * _sin(60 * np.exp(-(((hue - 275) / 25) ** 2)))
    return np.asarray(np.sqrt(np.maximum(dl**2 + dc**2 + dh**2 + r_t * dc * dh, 0)))


def _sin(degrees: Array) -> Array:
    return np.sin(np.radians(degrees))


def _cos(degrees: Array) -> Array:
    return np.cos(np.radians(degrees))

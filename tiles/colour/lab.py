"""sRGB, CIE XYZ and CIE L*a*b*, with the illuminant always said.

XYZ is relative: Y is 1 for the white. L*a*b* is CIE 15, with its constants in their exact, rational form.
"""

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from tiles.colour import srgb
from tiles.colour.srgb import Array


class Illuminant(StrEnum):
    """The light a colour is stated for: D65 is sRGB's own, D50 that of printing and of colour charts."""

    D65 = "D65"
    D50 = "D50"


# CIE 15: where the cube root gives way to the straight part, and its slope.
EPSILON = 216 / 24389
KAPPA = 24389 / 27

# IEC 61966-2-1: chromaticities x, y of red, green and blue, and of the white D65.
PRIMARIES_XY = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
D65_XY = (0.3127, 0.3290)

# Rows of the Bradford transform to cone responses (Lam 1985; as in ICC.1:2010, annex E).
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def xyz_of_chromaticity(x: float, y: float) -> Array:
    """XYZ of a chromaticity, with Y = 1."""
    return np.array([x / y, 1.0, (1 - x - y) / y])


WHITES = {
    Illuminant.D65: xyz_of_chromaticity(*D65_XY),
    # ICC.1:2010, 7.2.16: the D50 of profiles. Other D50s in use move b* by up to 0.02.
    Illuminant.D50: np.array([0.9642, 1.0, 0.8249]),
}


def _xyz_from_linear() -> Array:
    """The matrix that takes linear sRGB to XYZ under D65: primaries scaled so that they sum to the white."""
    primaries = np.stack([xyz_of_chromaticity(x, y) for x, y in PRIMARIES_XY], axis=1)
    return primaries * np.linalg.solve(primaries, WHITES[Illuminant.D65])


def _adaptation(source: Illuminant, target: Illuminant) -> Array:
    """The Bradford matrix that takes XYZ under one illuminant to XYZ under another."""
    gains = (BRADFORD @ WHITES[target]) / (BRADFORD @ WHITES[source])
    return np.asarray(np.linalg.solve(BRADFORD, gains[:, None] * BRADFORD))


LINEAR_TO_XYZ = {
    Illuminant.D65: _xyz_from_linear(),
    Illuminant.D50: _adaptation(Illuminant.D65, Illuminant.D50) @ _xyz_from_linear(),
}
XYZ_TO_LINEAR = {illuminant: np.linalg.inv(matrix) for illuminant, matrix in LINEAR_TO_XYZ.items()}


def adapt(xyz: ArrayLike, source: Illuminant, target: Illuminant) -> Array:
    """XYZ of the same surface under another illuminant, by Bradford; shape (..., 3).

    >>> adapt(WHITES[Illuminant.D65], Illuminant.D65, Illuminant.D50).round(4).tolist()
    [0.9642, 1.0, 0.8249]
    """
    return np.asarray(xyz, dtype=np.float64) @ _adaptation(source, target).T


def xyz_to_lab(xyz: ArrayLike, illuminant: Illuminant = Illuminant.D65) -> Array:
    """L*a*b* of XYZ, both under the illuminant; shape (..., 3).

    >>> xyz_to_lab([0.9642, 1.0, 0.8249], Illuminant.D50).tolist()
    [100.0, 0.0, 0.0]
    """
    ratio = np.asarray(xyz, dtype=np.float64) / WHITES[illuminant]
    f = np.where(ratio > EPSILON, np.cbrt(ratio), (KAPPA * ratio + 16) / 116)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike, illuminant: Illuminant = Illuminant.D65) -> Array:
    """XYZ of L*a*b*, both under the illuminant; shape (..., 3)."""
    given = np.asarray(lab, dtype=np.float64)
    y = (given[..., 0] + 16) / 116
    f = np.stack([y + given[..., 1] / 500, y, y - given[..., 2] / 200], axis=-1)
    ratio = np.where(f**3 > EPSILON, f**3, (116 * f - 16) / KAPPA)
    return ratio * WHITES[illuminant]


def linear_to_lab(linear: ArrayLike, illuminant: Illuminant = Illuminant.D65) -> Array:
    """L*a*b* of linear sRGB light [0 to 1], shape (..., 3)."""
    return xyz_to_lab(np.asarray(linear, dtype=np.float64) @ LINEAR_TO_XYZ[illuminant].T, illuminant)


def lab_to_linear(lab: ArrayLike, illuminant: Illuminant = Illuminant.D65) -> Array:
    """Linear sRGB light of L*a*b*, shape (..., 3); beyond 0 to 1 where sRGB does not hold the colour."""
    return np.asarray(lab_to_xyz(lab, illuminant) @ XYZ_TO_LINEAR[illuminant].T)


def srgb_to_lab(rgb8: ArrayLike, illuminant: Illuminant = Illuminant.D65) -> Array:
    """CIE L*a*b* of sRGB.

    Parameters
    ----------
    rgb8 : coded sRGB [0 to 255], shape (..., 3)
    illuminant : the light L*a*b* is stated for: D65, or D50 by Bradford adaptation

    Returns
    -------
    L* [0 to 100], a*, b*, shape (..., 3)

    Source: IEC 61966-2-1 (curve, primaries, white); CIE 15 (L*a*b*).

    >>> srgb_to_lab([200, 100, 50]).round(2).tolist()
    [53.63, 36.3, 45.38]
    >>> srgb_to_lab([200, 100, 50], Illuminant.D50).round(1).tolist()
    [54.2, 38.2, 46.2]
    """
    return linear_to_lab(srgb.to_linear(rgb8), illuminant)


def lab_to_srgb(lab: ArrayLike, illuminant: Illuminant = Illuminant.D65) -> Array:
    """Coded sRGB [0 to 255, not rounded, not cut off] of L*a*b* under the illuminant; shape (..., 3)."""
    return srgb.to_coded(lab_to_linear(lab, illuminant))

"""Putting a photo's colours right in linear light, and saying how far off they may still be."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tiles.colour import chart24, srgb
from tiles.colour.difference import ciede2000
from tiles.colour.lab import XYZ_TO_LINEAR, Illuminant, linear_to_lab
from tiles.colour.srgb import Array

TARGET_LINEAR = chart24.XYZ_D65 @ XYZ_TO_LINEAR[Illuminant.D65].T
# Fewer patches than this leave a matrix of nine figures too free.
FEWEST_PATCHES = 15


class Basis(StrEnum):
    """What a photo's colour rests on."""

    CHART = "chart"
    GREY_CARD = "grey card"
    UNCORRECTED = "uncorrected"


class Model(StrEnum):
    """How the corrected light follows from the photo's."""

    GAINS = "gains"
    MATRIX = "matrix"
    ROOTS = "root polynomial"


@dataclass(frozen=True, slots=True, eq=False)
class Correction:
    """A way from a photo's colours to true ones.

    `matrix` has 3 rows and one column for each term of the model, in linear light. `residual_mean` and `residual_max`
    [ΔE00] come from patches that were left out of the fit in turn; None where nothing in the picture could tell.
    `n` is the number of patches, or of the grey card's pixels.
    """

    basis: Basis
    model: Model
    matrix: Array
    residual_mean: float | None
    residual_max: float | None
    n: int


UNCORRECTED = Correction(Basis.UNCORRECTED, Model.MATRIX, np.eye(3), None, None, 0)


def correct(rgb8: ArrayLike, correction: Correction) -> Array:
    """Corrected sRGB [0 to 255, not rounded, not cut off] of a photo's sRGB bytes, shape (..., 3).

    >>> correct([10, 128, 200], UNCORRECTED).round(6).tolist()
    [10.0, 128.0, 200.0]
    """
    return srgb.to_coded(terms(srgb.to_linear(rgb8), correction.model) @ correction.matrix.T)


def terms(linear: ArrayLike, model: Model) -> Array:
    """What the model multiplies: the three channels, or with the roots of their products besides, shape (..., 3 or 6).

    Root polynomials keep hue and chroma when the exposure changes: Finlayson, Mackiewicz, Hurlbert 2015, IEEE Trans.
    Image Process. 24(5).
    """
    light = np.asarray(linear, dtype=np.float64)
    if model is not Model.ROOTS:
        return light
    r, g, b = np.moveaxis(np.maximum(light, 0), -1, 0)
    return np.concatenate(
        [light, np.stack([np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)], axis=-1)], axis=-1
    )


def from_chart(patches_rgb8: ArrayLike, usable: NDArray[np.bool_] | None = None) -> Correction:
    """The correction that a chart's 24 patches ask for.

    Gains, a 3 × 3 matrix and a root polynomial are all tried; the one that does best on patches left
    out of its own fit, one after the other, is taken, so that more terms win only where they help.

    Parameters
    ----------
    patches_rgb8 : the patches as photographed [0 to 255], shape (24, 3)
    usable : which of them to go by, shape (24,); all when left out

    Raises
    ------
    ValueError : fewer than 15 patches are usable
    """
    light = srgb.to_linear(np.asarray(patches_rgb8, dtype=np.float64))
    used = np.ones(24, dtype=bool) if usable is None else usable
    if used.sum() < FEWEST_PATCHES:
        raise ValueError(f"{used.sum()} of 24 patches are usable, and {FEWEST_PATCHES} are needed")
    light, places = light[used], np.flatnonzero(used)
    residuals = {model: _left_out(light, places, model) for model in Model}
    best = min(Model, key=lambda model: float(residuals[model].mean()))
    found = residuals[best]
    matrix = _fitted(light, places, best)
    return Correction(Basis.CHART, best, matrix, float(found.mean()), float(found.max()), len(places))


def _left_out(light: Array, places: NDArray[np.intp], model: Model) -> Array:
    """ΔE00 of each patch under the fit to all the others."""
    corrected = np.empty_like(light)
    for index in range(len(places)):
        others = np.arange(len(places)) != index
        matrix = _fitted(light[others], places[others], model)
        corrected[index] = terms(light[index], model) @ matrix.T
    return ciede2000(linear_to_lab(corrected), chart24.LAB_D65[places])


def _fitted(light: Array, places: NDArray[np.intp], model: Model) -> Array:
    """Least squares in linear light, each patch weighed as L* weighs its light, or bright ones alone would decide."""
    target = TARGET_LINEAR[places]
    weight = (chart24.XYZ_D65[places, 1] + 0.02) ** (-2 / 3)
    if model is Model.GAINS:
        weighed = light * weight[:, None] ** 2
        return np.diag((weighed * target).sum(axis=0) / np.maximum((weighed * light).sum(axis=0), 1e-12))
    solution = np.linalg.lstsq(terms(light, model) * weight[:, None], target * weight[:, None], rcond=None)[0]
    return np.asarray(solution.T)

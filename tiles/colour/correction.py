"""Putting a photo's colours right in linear light, and saying how far off they may still be.

Phones bend the middle tones for looks. A chart's six greys show how: each channel's coded values are first straightened
by a cubic through them, and only then is the light mixed by a matrix. Measured on rendered charts over four lights and
four ways of holding the camera, colours not on the chart (tests/tiles/colour/test_chart.py): under a strong tone curve
3.2 ΔE00 in the mean and 5.9 at the 95th percentile are left without straightening, 0.5 and 1.0 with it.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tiles.colour import chart24, srgb
from tiles.colour.difference import ciede2000
from tiles.colour.lab import XYZ_TO_LINEAR, Illuminant, linear_to_lab
from tiles.colour.srgb import Array

TARGET_LINEAR = chart24.XYZ_D65 @ XYZ_TO_LINEAR[Illuminant.D65].T
# Fewer patches than this leave a matrix of nine figures too free.
FEWEST_PATCHES = 15
# The greys of the chart, from white to black, and how bright each is in coded sRGB [0 to 1].
GREYS = np.arange(18, 24)
GREYS_CODED = srgb.to_coded(chart24.XYZ_D65[:, 1]) / 255
# A cubic has three figures: with fewer greys than this it would follow the noise.
FEWEST_GREYS = 5


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
    `n` is the number of patches, or of the grey card's pixels. `tone` straightens the camera's tone curve first, a row
    for each channel: the three figures of its cubic, and the coded value [0 to 1] from which it goes on straight.
    """

    basis: Basis
    model: Model
    matrix: Array
    residual_mean: float | None
    residual_max: float | None
    n: int
    tone: Array | None = None

    def as_json(self) -> dict[str, Any]:
        """The same in plain values, for keeping."""
        return {
            "basis": self.basis.value,
            "model": self.model.value,
            "matrix": self.matrix.tolist(),
            "residual_mean": self.residual_mean,
            "residual_max": self.residual_max,
            "n": self.n,
            "tone": None if self.tone is None else self.tone.tolist(),
        }

    @classmethod
    def from_json(cls, kept: dict[str, Any]) -> Self:
        """A correction as `as_json` wrote it; raises KeyError or ValueError where it is none."""
        tone = kept.get("tone")
        return cls(
            Basis(kept["basis"]),
            Model(kept["model"]),
            np.asarray(kept["matrix"], dtype=np.float64),
            kept["residual_mean"],
            kept["residual_max"],
            int(kept["n"]),
            None if tone is None else np.asarray(tone, dtype=np.float64),
        )


UNCORRECTED = Correction(Basis.UNCORRECTED, Model.MATRIX, np.eye(3), None, None, 0)


def correct(rgb8: ArrayLike, correction: Correction) -> Array:
    """Corrected sRGB [0 to 255, not rounded, not cut off] of a photo's sRGB bytes, shape (..., 3).

    >>> correct([10, 128, 200], UNCORRECTED).round(6).tolist()
    [10.0, 128.0, 200.0]
    """
    return srgb.to_coded(true_light(rgb8, correction))


def true_light(rgb8: ArrayLike, correction: Correction) -> Array:
    """Corrected linear sRGB light of a photo's sRGB bytes, shape (..., 3); beyond 0 to 1 outside of what sRGB holds."""
    light = _straightened(np.asarray(rgb8), correction.tone)
    return np.asarray(terms(light, correction.model) @ correction.matrix.T)


def _straightened(rgb8: NDArray[Any], tone: Array | None) -> Array:
    """Linear light of coded values with the camera's tone curve taken out, where one was found."""
    if tone is None:
        return srgb.to_linear(rgb8)
    coded = rgb8 / 255
    first, second, third, end = tone.T
    near = np.minimum(coded, end)
    slope = first + 2 * second * end + 3 * third * end**2
    return srgb.to_linear(255 * (near * (first + near * (second + near * third)) + slope * (coded - near)))


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


def from_chart(
    patches_rgb8: ArrayLike, usable: NDArray[np.bool_] | None = None, *, straighten: bool = True
) -> Correction:
    """The correction that a chart's 24 patches ask for.

    Gains, a 3 × 3 matrix and a root polynomial are all tried, each with and without straightening the tone curve by the
    greys; the one that does best on patches left out of its own fit, one after the other, is taken, so that more
    figures win only where they help.

    Parameters
    ----------
    patches_rgb8 : the patches as photographed [0 to 255], shape (24, 3)
    usable : which of them to go by, shape (24,); all when left out
    straighten : whether straightening is tried; without it the answer comes twice as quickly

    Raises
    ------
    ValueError : fewer than 15 patches are usable
    """
    seen = np.asarray(patches_rgb8, dtype=np.float64)
    used = np.ones(24, dtype=bool) if usable is None else usable
    if used.sum() < FEWEST_PATCHES:
        raise ValueError(f"{used.sum()} of 24 patches are usable, and {FEWEST_PATCHES} are needed")
    seen, places = seen[used], np.flatnonzero(used)
    ways = [(model, straight) for straight in (False, straighten) for model in Model]
    residuals = {way: _left_out(seen, places, *way) for way in dict.fromkeys(ways)}
    model, straight = best = min(residuals, key=lambda way: float(residuals[way].mean()))
    found, fit = residuals[best], _fit(seen, places, model, straight)
    mean, most = float(found.mean()), float(found.max())
    return Correction(Basis.CHART, model, fit.matrix, mean, most, len(places), fit.tone)


def _left_out(seen: Array, places: NDArray[np.intp], model: Model, straight: bool) -> Array:
    """ΔE00 of each patch under the fit to all the others."""
    fit = _fit(seen, places, model, straight)
    light = _straightened(seen, fit.tone)
    corrected = _predicted_without(terms(light, model), fit, places)
    if fit.tone is not None:
        # A grey that is left out is left out of its tone curve too.
        for index in np.flatnonzero(np.isin(places, GREYS)):
            others = np.arange(len(places)) != index
            corrected[index] = true_light(seen[index], _fit(seen[others], places[others], model, straight))
    return ciede2000(linear_to_lab(corrected), chart24.LAB_D65[places])


def _predicted_without(light: Array, fit: Correction, places: NDArray[np.intp]) -> Array:
    """What the fit to all other patches makes of each, without fitting anew: its error e becomes e / (1 - h).

    h is a patch's leverage, the share of its own value in its fit.
    Source: Allen 1974, Technometrics 16(1), the prediction sum of squares.
    """
    target, weight = TARGET_LINEAR[places], _weight(places)[:, None]
    error = target - light @ fit.matrix.T
    weighed = light * weight
    if fit.model is Model.GAINS:
        leverage = weighed**2 / np.maximum((weighed**2).sum(axis=0), 1e-12)
    else:
        leverage = (np.linalg.qr(weighed)[0] ** 2).sum(axis=1)[:, None]
    return np.asarray(target - error / np.maximum(1 - leverage, 1e-9))


def _fit(seen: Array, places: NDArray[np.intp], model: Model, straight: bool) -> Correction:
    """The fit to these patches, whose residual nobody has asked for yet."""
    tone = _tone(seen, places) if straight else None
    matrix = _fitted(_straightened(seen, tone), places, model)
    return Correction(Basis.CHART, model, matrix, None, None, len(places), tone)


def _tone(seen: Array, places: NDArray[np.intp]) -> Array | None:
    """The cubic of each channel that makes the greys as bright as they are; None where it would turn back."""
    grey = np.isin(places, GREYS)
    if grey.sum() < FEWEST_GREYS:
        return None
    coded, target = seen[grey] / 255, GREYS_CODED[places[grey]]
    rows = []
    for channel in coded.T:
        powers = np.stack([channel, channel**2, channel**3], axis=1)
        figures, end = np.linalg.lstsq(powers, target, rcond=None)[0], channel.max()
        along = np.linspace(0, end, 33)
        if (figures[0] + 2 * figures[1] * along + 3 * figures[2] * along**2).min() <= 0:
            return None
        rows.append([*figures, end])
    return np.array(rows)


def _fitted(light: Array, places: NDArray[np.intp], model: Model) -> Array:
    """Least squares in linear light, each patch weighed as L* weighs its light, or bright ones alone would decide."""
    target, weight = TARGET_LINEAR[places], _weight(places)
    if model is Model.GAINS:
        weighed = light * weight[:, None] ** 2
        return np.diag((weighed * target).sum(axis=0) / np.maximum((weighed * light).sum(axis=0), 1e-12))
    solution = np.linalg.lstsq(terms(light, model) * weight[:, None], target * weight[:, None], rcond=None)[0]
    return np.asarray(solution.T)


def _weight(places: NDArray[np.intp]) -> Array:
    return np.asarray((chart24.XYZ_D65[places, 1] + 0.02) ** (-2 / 3))

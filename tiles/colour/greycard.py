"""Correction from a grey card: it sets white balance and exposure, and can tell nothing of how colours are bent."""

import numpy as np
from numpy.typing import ArrayLike

from tiles.colour import srgb
from tiles.colour.correction import Basis, Correction, Model
from tiles.colour.difference import ciede2000
from tiles.colour.lab import linear_to_lab

# Common practice, no source: the share of light that a photographer's grey card sends back.
REFLECTANCE = 0.18
# Coded values outside are too near to black or to clipping to carry a ratio.
DARKEST, BRIGHTEST = 20, 245
FEWEST_PIXELS = 16


def from_grey_card(card_rgb8: ArrayLike, reflectance: float = REFLECTANCE) -> Correction:
    """The gains that make a card neutral and as bright as it is.

    Parameters
    ----------
    card_rgb8 : the card's pixels [0 to 255], shape (..., 3)
    reflectance : share of light the card sends back [0 to 1]

    Returns
    -------
    a correction whose residual [ΔE00] is how far the card's own pixels stray from grey, mean and 95th percentile:
    a floor, not what other colours may be off

    Raises
    ------
    ValueError : too few pixels, or the card is nearly black or blown out

    >>> from_grey_card(np.full((8, 8, 3), (150, 118, 90))).n
    64
    """
    pixels = np.asarray(card_rgb8, dtype=np.float64).reshape(-1, 3)
    if len(pixels) < FEWEST_PIXELS:
        raise ValueError("The grey card is too small in view: come closer and take the photo again.")
    middle = np.median(pixels, axis=0)
    if middle.max() > BRIGHTEST:
        raise ValueError("The grey card is blown out: expose less and take the photo again.")
    if middle.min() < DARKEST:
        raise ValueError("The grey card is too dark: give it more light and take the photo again.")
    gains = reflectance / srgb.to_linear(middle)
    card = linear_to_lab(srgb.to_linear(pixels) * gains)
    strays = ciede2000(card, linear_to_lab(np.full(3, reflectance)))
    return Correction(
        Basis.GREY_CARD,
        Model.GAINS,
        np.diag(gains),
        float(strays.mean()),
        float(np.percentile(strays, 95)),
        len(pixels),
    )

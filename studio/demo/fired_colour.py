"""What colour a stack comes out: the glaze's own, the body through it, iron, heat and atmosphere."""

import numpy as np

from studio.demo.behaviour import Fired, Laid, ripeness
from studio.demo.catalogue import Look
from studio.demo.coats import laid_over
from studio.demo.light import to_linear, to_srgb
from studio.demo.picture import CoatPicture, Rgb
from tiles.colour.lab import Illuminant, srgb_to_lab

RAW_RGB = (222, 208, 196)  # dry glaze powder, pinkish white


def between(first: Rgb, second: Rgb, share: float) -> Rgb:
    """The colour so far from the first to the second.

    >>> between((0, 0, 0), (100, 200, 50), 0.5)
    (50, 100, 25)
    """
    share = min(max(share, 0.0), 1.0)
    return tuple(round(a + (b - a) * share) for a, b in zip(first, second, strict=True))  # type: ignore[return-value]


def darkened(rgb: Rgb, share: float) -> Rgb:
    """The colour with a share of its light taken, blue most and red least, as iron does."""
    return tuple(round(c * (1 - share * w)) for c, w in zip(rgb, (0.8, 1.0, 1.1), strict=True))  # type: ignore[return-value]


def coloured(fired: Fired, layer: Laid) -> Look:
    """A layer's colours on this body in this heat."""
    look, ripe = layer.recipe.look(fired.heat.atmosphere), ripeness(fired)
    iron = fired.body.iron * (1.15 - layer.recipe.hiding) * (0.5 if layer.recipe.kind == "engobe" else 1.0)
    raw = 0.6 * (1 - min(max(ripe / 0.22, 0.0), 1.0)) if layer.melts else 0.0
    burnt = 0.45 * min(max(ripe - 0.95, 0.0), 1.0) if layer.melts else 0.0

    def seen(rgb: Rgb, body: float) -> Rgb:
        own = between(darkened(rgb, 0.55 * iron), fired.body.rgb(fired.heat.atmosphere), body)
        return between(own, RAW_RGB, raw)

    full = between(seen(look.full, 0.0), seen(look.thin, 0.1), burnt)
    drift = seen(look.drift, 0.0) if look.drift else None
    return Look(full, seen(look.thin, 0.25 * fired.body.iron), seen(look.edge, 0.3 * fired.body.iron), drift)


def coat_picture(fired: Fired, layer: Laid) -> CoatPicture:
    """A layer as the picture wants it."""
    look, recipe = coloured(fired, layer), layer.recipe
    stirred = 0.25 * min(fired.flux_coats, 1.0) if recipe.kind == "glaze" else 0.0
    return CoatPicture(
        look.full,
        look.thin,
        look.edge,
        layer.coats,
        opacity=(max(1.1 * recipe.hiding - 0.02, 0.0) / 1.5) ** 0.5,
        float_rgb=look.drift,
        mottle=min(recipe.mottle + stirred, 1.0),
        kind=recipe.kind,
    )


def zone_rgb(fired: Fired) -> Rgb:
    """The colour in the middle of a zone, as sRGB."""
    light = to_linear(fired.body.rgb(fired.heat.atmosphere))[:, None, None]
    for layer in fired.layers:
        coat = coat_picture(fired, layer)
        share = float(np.clip((layer.coats - 0.35) / 1.55, 0, 1))
        colour = to_linear(between(coat.thin_rgb, coat.rgb, share * share * (3 - 2 * share)))
        if coat.float_rgb:
            colour = colour + (to_linear(coat.float_rgb) - colour) * np.float32(0.35 * coat.mottle)
        thick = np.full((1, 1), layer.coats, dtype=np.float32)
        light = laid_over(light, thick, colour[:, None, None], coat)
    red, green, blue = (int(channel) for channel in to_srgb(light)[0, 0])
    return red, green, blue


def lab_of(rgb: Rgb) -> tuple[float, float, float]:
    """CIE L*a*b* under D50, as colours are kept, of an sRGB colour.

    >>> [round(value, 1) + 0.0 for value in lab_of((255, 255, 255))]
    [100.0, 0.0, 0.0]
    """
    lightness, a, b = (float(value) for value in srgb_to_lab(rgb, Illuminant.D50))
    return lightness, a, b

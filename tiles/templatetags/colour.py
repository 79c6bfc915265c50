"""`{% load colour %}`: measured colours as swatches that say what they rest on."""

from typing import Any

from django import template

from tiles.colour import queries, wording
from tiles.colour import swatch as swatches
from tiles.models import ColourReading, Outcome

register = template.Library()


@register.inclusion_tag("tiles/colour/_swatch.html")
def swatch(outcome: Outcome) -> dict[str, Any]:
    """An outcome's colour: patch, name and basis; nothing where none was measured."""
    if outcome.lab_l is None or outcome.lab_a is None or outcome.lab_b is None:
        return {}
    lab = (outcome.lab_l, outcome.lab_a, outcome.lab_b)
    return {
        "shown": swatches.hex_of(*lab),
        "name": swatches.name_of(*lab),
        "basis": wording.basis_words(outcome.lab_basis),
        "beyond": "" if swatches.is_in_gamut(*lab) else swatches.BEYOND,
    }


@register.filter
def colour_words(outcome: Outcome) -> str:
    """An outcome's colour in words: saddle brown, L* 39.0, a* 24.0, b* 33.0, by colour chart."""
    if outcome.lab_l is None or outcome.lab_a is None or outcome.lab_b is None:
        return ""
    lab = (outcome.lab_l, outcome.lab_a, outcome.lab_b)
    basis = wording.basis_words(outcome.lab_basis)
    return f"{swatches.name_of(*lab)}, {swatches.figures_of(*lab)}, {basis}"


@register.filter
def lab_figures(outcome: Outcome) -> str:
    """An outcome's colour in figures: L* 39.0, a* 24.0, b* 33.0."""
    if outcome.lab_l is None or outcome.lab_a is None or outcome.lab_b is None:
        return ""
    return swatches.figures_of(outcome.lab_l, outcome.lab_a, outcome.lab_b)


@register.filter
def reading_words(reading: ColourReading) -> wording.ColourWords:
    """A kept reading in words."""
    return wording.words_of_reading(queries.measured(reading), reading.colours, reading.clipped_share)

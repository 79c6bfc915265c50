"""A colour as a page shows it: patch, name, figures, what it rests on, and how far it can be trusted."""

from collections.abc import Sequence
from dataclasses import dataclass

from tiles.colour.apart import MeasuredColour
from tiles.colour.regions import AreaColour
from tiles.colour.swatch import figures_of, hex_of, name_of
from tiles.vocabulary import ColourBasis

# A share below this is not worth a line.
WORTH_A_LINE = 0.005


@dataclass(frozen=True, slots=True)
class Patch:
    """A main colour of a surface: as a screen shows it, its name, and how much of the surface it covers."""

    shown: str
    name: str
    figures: str
    share_percent: int


@dataclass(frozen=True, slots=True)
class ColourWords:
    """All that is said of one colour. `notes` are whole sentences."""

    shown: str
    name: str
    figures: str
    basis: str
    give_or_take: str
    notes: tuple[str, ...]
    patches: tuple[Patch, ...]


def basis_words(basis: str) -> str:
    """What a colour rests on, to follow the colour: by colour chart, uncorrected."""
    label = ColourBasis.label_of(basis)
    return label if basis == ColourBasis.UNCORRECTED.value else f"by {label}"


def words_of_area(found: AreaColour) -> ColourWords:
    """A colour just read from a photo, in words."""
    basis = found.basis.value.replace(" ", "_")
    measured = MeasuredColour(found.lab, basis, found.spread_de, found.uncertainty)
    shares = (
        ("{} of the area is blown out and was left out.", found.clipped_share),
        ("{} is highlight and was left out.", found.highlight_share),
        ("{} is specks and was left out.", found.speckle_share),
    )
    left_out = tuple(words.format(percent(share)) for words, share in shares if share >= WORTH_A_LINE)
    mains = [(*main.lab, main.share) for main in found.mains]
    return _words(measured, mains, left_out)


def words_of_reading(
    measured: MeasuredColour, mains: Sequence[Sequence[float]], clipped_share: float
) -> ColourWords:
    """A reading that was kept, in words; `mains` are L*, a*, b*, share."""
    blown = f"{percent(clipped_share)} of the area was blown out and left out."
    return _words(measured, mains, (blown,) if clipped_share >= WORTH_A_LINE else ())


def _words(
    measured: MeasuredColour, mains: Sequence[Sequence[float]], left_out: tuple[str, ...]
) -> ColourWords:
    patches = [
        Patch(hex_of(*lab), name_of(*lab), figures_of(*lab), round(100 * share)) for *lab, share in mains
    ]
    return ColourWords(
        shown=hex_of(*measured.lab),
        name=name_of(*measured.lab),
        figures=figures_of(*measured.lab),
        basis=basis_words(measured.basis),
        give_or_take=f"give or take ΔE {measured.give_or_take:.1f}",
        notes=(*_evenness(measured), *_residual(measured), *left_out),
        patches=tuple(patches) if len(patches) > 1 else (),
    )


def _evenness(measured: MeasuredColour) -> tuple[str, ...]:
    if measured.basis == ColourBasis.INSTRUMENT.value:
        return ()
    return (f"The surface varies by ΔE {measured.spread_de:.1f} (median).",)


def _residual(measured: MeasuredColour) -> tuple[str, ...]:
    if measured.basis == ColourBasis.CHART.value and measured.residual_de is not None:
        return (f"The chart’s own patches are off by ΔE {measured.residual_de:.1f} after correction (mean).",)
    if measured.basis == ColourBasis.GREY_CARD.value:
        return ("A grey card sets white and brightness; it cannot tell how the camera bends colours.",)
    if measured.basis == ColourBasis.UNCORRECTED.value:
        return (
            "Nothing in the photo tells what its light did to the colour. A colour chart beside the tile would.",
        )
    return ()


def percent(share: float) -> str:
    """A share as people say it.

    >>> percent(0.004), percent(0.126), percent(0)
    ('under 1 %', '13 %', '0 %')
    """
    return "under 1 %" if 0 < share < 0.01 else f"{100 * share:.0f} %"

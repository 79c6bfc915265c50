"""What was found in a photo by looking at it once: codes, the photo mat, a colour chart, a grey card, the light.

Places in the photo are shares of the upright picture's sides, 0 to 1 from its upper left corner, so that they hold for
the original and for every rendition. Everything here goes into JSON and comes back the same.
"""

from dataclasses import asdict, dataclass
from typing import Any, Self

import numpy as np

from tiles.colour.correction import UNCORRECTED, Basis, Correction, Model
from tiles.photos.codes import Region
from tiles.photos.light import Light
from tiles.photos.mat import Matrix, Point, SeenMat

# Rises when what stands in the JSON changes, so that photos looked at before are looked at again.
VERSION = 1


@dataclass(frozen=True, slots=True)
class NotSeen:
    """What is not in the photo, or not well enough to be used, and what to do about it."""

    reason: str


@dataclass(frozen=True, slots=True)
class SeenCode:
    """A tile's code: the number without its check digit, the upright rectangle around it, and its own corners."""

    number: int
    region: Region
    corners: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class SeenChart:
    """A 24-patch chart. `corners` are its outer corners, from the one beside dark skin, clockwise as printed.

    `patches_rgb8` are medians as photographed, `usable` the ones that are not clipped. `residual_before` is the mean
    ΔE00 as photographed; `residual_mean` and `residual_max` are what is left after the correction, on patches left out
    of its fit in turn. `model` and `matrix` are the correction: see `tiles.colour.correction`.
    """

    corners: tuple[Point, ...]
    on_mat: bool
    patches_rgb8: tuple[tuple[float, ...], ...]
    usable: tuple[bool, ...]
    residual_before: float
    residual_mean: float
    residual_max: float
    n: int
    model: str
    matrix: Matrix

    def correction(self) -> Correction:
        """The way from the photo's colours to true ones."""
        matrix = np.array(self.matrix)
        return Correction(
            Basis.CHART, Model(self.model), matrix, self.residual_mean, self.residual_max, self.n
        )


@dataclass(frozen=True, slots=True)
class SeenGreyCard:
    """A grey card, known by its place on the mat. Residuals [ΔE00] are how far its own pixels stray from grey."""

    corners: tuple[Point, ...]
    rgb8: tuple[float, ...]
    residual_mean: float
    residual_max: float
    n: int
    matrix: Matrix

    def correction(self) -> Correction:
        """White balance and exposure by the card; bent colours it cannot tell."""
        matrix = np.array(self.matrix)
        return Correction(Basis.GREY_CARD, Model.GAINS, matrix, self.residual_mean, self.residual_max, self.n)


@dataclass(frozen=True, slots=True)
class Look:
    """All that one look at a photo found. `width` and `height` are of the upright original [px]."""

    width: int
    height: int
    codes: tuple[SeenCode, ...]
    mat: SeenMat | NotSeen
    chart: SeenChart | NotSeen
    grey_card: SeenGreyCard | NotSeen
    light: Light
    advice: tuple[str, ...]

    @property
    def correction(self) -> Correction:
        """By the best there is in view: the chart, else the grey card, else none."""
        for found in (self.chart, self.grey_card):
            if not isinstance(found, NotSeen):
                return found.correction()
        return UNCORRECTED

    def as_json(self) -> dict[str, Any]:
        """Plain dicts and lists; what may be missing says so under ``found``."""
        return {
            "version": VERSION,
            "width": self.width,
            "height": self.height,
            "codes": [_plain(code) for code in self.codes],
            "mat": _found_or_not(self.mat),
            "chart": _found_or_not(self.chart),
            "grey_card": _found_or_not(self.grey_card),
            "light": _plain(self.light),
            "advice": list(self.advice),
        }

    @classmethod
    def from_json(cls, kept: dict[str, Any]) -> Self:
        """The look that `as_json` wrote.

        Raises
        ------
        ValueError : it was written by another version
        """
        if kept.get("version") != VERSION:
            raise ValueError(f"this look is of version {kept.get('version')}, not {VERSION}: look again")
        return cls(
            width=kept["width"],
            height=kept["height"],
            codes=tuple(
                SeenCode(code["number"], Region(**code["region"]), _tuples(code["corners"]))
                for code in kept["codes"]
            ),
            mat=_built(SeenMat, kept["mat"]),
            chart=_built(SeenChart, kept["chart"]),
            grey_card=_built(SeenGreyCard, kept["grey_card"]),
            light=Light(**_tuples(kept["light"])),
            advice=tuple(kept["advice"]),
        )


def _found_or_not(found: Any) -> dict[str, Any]:
    return {"found": not isinstance(found, NotSeen), **_plain(found)}


def _built(kind: type[Any], kept: dict[str, Any]) -> Any:
    """What `_found_or_not` wrote, as it was."""
    values = {name: _tuples(value) for name, value in kept.items() if name != "found"}
    return kind(**values) if kept["found"] else NotSeen(**values)


def _plain(record: Any) -> dict[str, Any]:
    return {name: _lists(value) for name, value in asdict(record).items()}


def _lists(value: Any) -> Any:
    """Tuples as lists, all the way down: what JSON gives back."""
    if isinstance(value, dict):
        return {name: _lists(inner) for name, inner in value.items()}
    return [_lists(inner) for inner in value] if isinstance(value, (tuple, list)) else value


def _tuples(value: Any) -> Any:
    """Lists as tuples, all the way down."""
    if isinstance(value, dict):
        return {name: _tuples(inner) for name, inner in value.items()}
    return tuple(_tuples(inner) for inner in value) if isinstance(value, (tuple, list)) else value

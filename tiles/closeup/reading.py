"""A run as it is asked for on a photo, and as it is kept: from marks on the picture to figures with one decimal."""

import math
from contextlib import suppress
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from tiles.closeup.scale import (
    Line,
    Matrix,
    MeasuredRun,
    NoScale,
    PictureSize,
    Scale,
    measure,
    of_code,
    of_mat,
    of_tile,
)
from tiles.photos.look import Look
from tiles.photos.mat import SeenMat
from tiles.vocabulary import ScaleBasis

TENTH = Decimal("0.1")
# No tile is longer; a longer run is a wrong scale.
LONGEST_MM = 500
# A width that was typed this near to the form's is the form's, read back in inches with two decimals [mm].
SAME_MM = 0.2


@dataclass(frozen=True, slots=True)
class Marks:
    """What was dragged and typed: the run's line and what gives the scale. `step_px` is one step of the hand."""

    line: Line
    basis: str
    edge: Line | None = None
    edge_mm: float | None = None
    code_side_mm: float | None = None
    step_px: float = 1.0
    runs_off: bool = False


@dataclass(frozen=True, slots=True)
class Subject:
    """What a photo shows and what is known of it: its size, the look at it, the tile's form [mm]."""

    size: PictureSize
    look: Look | None
    width_mm: float
    height_mm: float
    thickness_mm: float

    @property
    def mat(self) -> SeenMat | None:
        """The photo mat, where it is in view."""
        mat = self.look.mat if self.look else None
        return mat if isinstance(mat, SeenMat) else None

    @property
    def code_corners(self) -> tuple[tuple[float, float], ...] | None:
        """The corners of the first tile's code in view."""
        codes = self.look.codes if self.look else ()
        return next((code.corners for code in codes if len(code.corners) == 4), None)

    @property
    def bases(self) -> list[ScaleBasis]:
        """The ways a scale can be had here, the surest first."""
        mat = [ScaleBasis.MAT] if self.mat else []
        code = [ScaleBasis.CODE] if self.code_corners else []
        return [*mat, ScaleBasis.TILE, *code]

    @property
    def px_per_mm(self) -> float | None:
        """Pixels of the upright photo per mm on the tile, in the middle; None where nothing in view says so."""
        return self.mat.px_per_mm_on(self.thickness_mm) if self.mat else None

    def mat_scale(self) -> Scale | None:
        """The scale by the mat, where it is in view."""
        return of_mat(self.mat, self.size, self.thickness_mm) if self.mat else None

    def known_scales(self) -> dict[str, Matrix]:
        """Homographies from shares of the photo: to mm by the mat, to sides of the code by the code."""
        found: dict[str, Matrix] = {}
        if scale := self.mat_scale():
            found[ScaleBasis.MAT.value] = scale.to_mm
        if self.code_corners:
            with suppress(NoScale):
                found[ScaleBasis.CODE.value] = of_code(self.code_corners, 1.0, self.size).to_mm
        return found


@dataclass(frozen=True, slots=True)
class Reading:
    """A run ready to be kept [mm]."""

    line: Line
    run_mm: Decimal
    plus_minus_mm: Decimal
    basis: str
    runs_off: bool


def scale_by(marks: Marks, subject: Subject) -> Scale:
    """The scale these marks give.

    Raises
    ------
    NoScale : something is missing for it, in words fit for the page
    """
    if marks.basis == ScaleBasis.MAT.value:
        if scale := subject.mat_scale():
            return scale
        raise NoScale("The photo mat is not in view. Take the scale from the tile’s own size.")
    if marks.basis == ScaleBasis.CODE.value:
        if not subject.code_corners or not marks.code_side_mm:
            raise NoScale("Write how wide the dark square of the printed code is.")
        return of_code(subject.code_corners, marks.code_side_mm, subject.size)
    return _by_tile(marks, subject)


def _by_tile(marks: Marks, subject: Subject) -> Scale:
    if not marks.edge or not marks.edge_mm:
        raise NoScale("Drag the two square marks to the tile’s edges, and write how far apart they are.")
    typed_mm = marks.edge_mm
    dry_mm = min((subject.width_mm, subject.height_mm), key=lambda side: abs(side - typed_mm))
    edge_mm = dry_mm if abs(dry_mm - typed_mm) < SAME_MM else typed_mm
    return of_tile(marks.edge, edge_mm, subject.size, dry_mm=dry_mm, pointing_px=marks.step_px)


def read_run(marks: Marks, subject: Subject) -> Reading:
    """The run these marks measure.

    Raises
    ------
    NoScale : the scale is missing, or cannot be right
    """
    found = measure(scale_by(marks, subject), marks.line, marks.step_px)
    if not _is_sensible(found):
        raise NoScale("That is longer than any tile. Look at the scale again.")
    return Reading(
        line=marks.line,
        run_mm=Decimal(str(found.run_mm)).quantize(TENTH, ROUND_HALF_UP),
        plus_minus_mm=max(TENTH, Decimal(str(found.plus_minus_mm)).quantize(TENTH, ROUND_CEILING)),
        basis=marks.basis,
        runs_off=marks.runs_off,
    )


def _is_sensible(found: MeasuredRun) -> bool:
    figures = (found.run_mm, found.plus_minus_mm)
    return all(map(math.isfinite, figures)) and max(figures) <= LONGEST_MM

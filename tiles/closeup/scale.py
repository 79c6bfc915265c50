"""How long something in a photo is: from places in the picture to millimetres on the tile's face, and how surely.

Places are shares of the upright photo’s sides. A scale is a homography from there to mm on the plane of the face,
so that a photo taken askew is measured as truly as one from straight above, where what gives the scale shows the tilt.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tiles.colour.homography import fit_homography, scale_at, through
from tiles.colour.srgb import Array
from tiles.photos.mat import SeenMat

# Two standard deviations: the range that holds 95 of 100.
COVER = 2.0
# A corner of a code is read to whole pixels of a picture that may have been halved first; standard deviation [px].
CORNER_PX = 1.0
# However near the eye came, an edge of a coat is not sharper than this; standard deviation [px].
SHARPEST_PX = 1.0
# How much shorter a dry tile may still become in the fire: 0 to 7 % of its length (common practice, no source).
FIRING_SHRINKAGE = 0.07
# A ruler on a fired tile, whose edges are glazed and round: half a millimetre (common practice, no source).
RULER_MM = 0.5
# A length along one line does not tell the tilt: held 14° askew, what lies across it is 3 % shorter (its cosine).
UNSEEN_TILT = 0.03
# Without a focal length from the camera, the distance to the tile is known so well (common practice, no source).
DISTANCE_SPREAD = 0.1

Matrix = tuple[tuple[float, ...], ...]
Line = tuple[float, float, float, float]


class NoScale(ValueError):
    """These points give no scale; the words are fit for a page."""


@dataclass(frozen=True, slots=True)
class PictureSize:
    """The upright photo [px]."""

    width: int
    height: int

    def length_px(self, line: Line) -> float:
        """How long a line is in the picture."""
        x1, y1, x2, y2 = line
        return math.hypot((x2 - x1) * self.width, (y2 - y1) * self.height)


@dataclass(frozen=True, slots=True)
class Scale:
    """Where a place of the photo [shares] lies on the tile's face [mm].

    `spread` holds the scale 95 times in 100, as a share of any length; `wobbles` are the homographies that would be,
    were what gave the scale read one standard deviation otherwise, one for each figure read.
    """

    to_mm: Matrix
    size: PictureSize
    spread: float
    wobbles: tuple[Matrix, ...] = ()

    def length_mm(self, line: Line) -> float:
        """How long a line is on the tile."""
        return _length(self.to_mm, line)

    def mm_per_px(self, x: float, y: float) -> float:
        """Millimetres on the tile for one pixel of the photo at a place [shares]."""
        from_px = np.array(self.to_mm) @ np.diag([1 / self.size.width, 1 / self.size.height, 1.0])
        return scale_at(from_px, (x * self.size.width, y * self.size.height), step=1.0)


@dataclass(frozen=True, slots=True)
class MeasuredRun:
    """A run and its give-or-take, which holds it 95 times in 100 [mm]."""

    run_mm: float
    plus_minus_mm: float


def measure(scale: Scale, line: Line, pointing_px: float = SHARPEST_PX) -> MeasuredRun:
    """The length of a line from the coat's edge to the end of the drip.

    Each end is pointed at with a standard deviation of `pointing_px` pixels of the photo, in any direction, and never
    better than `SHARPEST_PX`. Independent errors add as the root of their squares (JCGM 100:2008, 5.1.2).

    >>> hundredth = Scale(((100, 0, 0), (0, 100, 0), (0, 0, 1)), PictureSize(1000, 1000), spread=0.0)
    >>> found = measure(hundredth, (0.5, 0.5, 0.5, 0.53))
    >>> round(found.run_mm, 2), round(found.plus_minus_mm, 2)
    (3.0, 0.28)
    """
    x1, y1, x2, y2 = line
    run_mm = scale.length_mm(line)
    pointed = max(SHARPEST_PX, pointing_px)
    ends = math.hypot(scale.mm_per_px(x1, y1), scale.mm_per_px(x2, y2)) * pointed
    wobbled = math.hypot(*(_length(other, line) - run_mm for other in scale.wobbles))
    plus_minus = math.hypot(COVER * ends, COVER * wobbled, scale.spread * run_mm)
    return MeasuredRun(run_mm, plus_minus)


def of_mat(mat: SeenMat, size: PictureSize, thickness_mm: float) -> Scale:
    """By the photo mat, on the face of a tile so thick that lies on it."""
    places = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]) * 100.0
    to_mm = fit_homography(mat.shares_of(places, thickness_mm), places)
    distance = 0.0 if mat.focal_known else DISTANCE_SPREAD * thickness_mm / max(1.0, mat.distance_mm)
    return Scale(_matrix(to_mm), size, math.hypot(mat.plus_minus / mat.px_per_mm, distance))


def of_tile(
    edge: Line, edge_mm: float, size: PictureSize, *, dry_mm: float, pointing_px: float = 1.0
) -> Scale:
    """By two points on the tile's edges that are `edge_mm` apart.

    `dry_mm` is what the form says: where nothing else is given, the fire's own shrinkage is part of the give-or-take.

    Raises
    ------
    NoScale : the two points are too near one another
    """
    edge_px = size.length_px(edge)
    pointed = max(SHARPEST_PX, pointing_px)
    if edge_px < 20 * pointed:
        raise NoScale("Drag the two marks to the tile’s edges first, so that the scale is known.")
    length_spread = FIRING_SHRINKAGE if edge_mm == dry_mm else RULER_MM / edge_mm
    pointing = COVER * math.sqrt(2) * pointed / edge_px
    mm_per_px = edge_mm / edge_px
    to_mm = np.diag([size.width * mm_per_px, size.height * mm_per_px, 1.0])
    return Scale(_matrix(to_mm), size, math.hypot(length_spread, pointing, UNSEEN_TILT))


def of_code(corners: Sequence[tuple[float, float]], side_mm: float, size: PictureSize) -> Scale:
    """By a printed code whose dark square measures `side_mm`, its corners [shares] clockwise from its upper left.

    Raises
    ------
    NoScale : its corners do not make a square seen in perspective
    """
    square = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]) * side_mm
    seen = np.array(corners, dtype=np.float64)
    if seen.shape != (4, 2):
        raise NoScale("The code in view has no four corners, so it gives no scale.")
    try:
        to_mm = fit_homography(seen, square)
        wobbles = tuple(_matrix(fit_homography(nudged, square)) for nudged in _nudged(seen, size))
    except (ValueError, np.linalg.LinAlgError):
        raise NoScale("The code in view is too small or too much askew to give a scale.") from None
    return Scale(_matrix(to_mm), size, RULER_MM / 2 / side_mm, wobbles)


def _nudged(corners: Array, size: PictureSize) -> list[Array]:
    """The corners with one figure at a time read one standard deviation further on."""
    steps = np.array([CORNER_PX / size.width, CORNER_PX / size.height])
    nudged = []
    for corner in range(4):
        for axis in range(2):
            moved = corners.copy()
            moved[corner, axis] += steps[axis]
            nudged.append(moved)
    return nudged


def _length(to_mm: Matrix, line: Line) -> float:
    start, end = through(np.array(to_mm), np.array(line).reshape(2, 2))
    return float(np.hypot(*(end - start)))


def _matrix(values: ArrayLike) -> Matrix:
    return tuple(tuple(float(value) for value in row) for row in np.asarray(values))

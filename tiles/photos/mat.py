"""The photo mat in a photo: which sheet it is, and where every place on it lies in the picture.

The corners of the corner codes are fitted by least squares. How far the tile's face rises above the paper is followed
too: a face 7 mm nearer to a phone 40 cm away looks 1.8 % larger than the paper it lies on.

A printer's scale cannot be known from a photo. Lengths are true for a mat printed at 100 %; where the 50 mm square was
measured on paper and is another length, give that length divided by 50 as `printed_scale`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tiles.colour.homography import fit_homography, scale_at, through
from tiles.colour.srgb import Array
from tiles.photos import mat_sheet
from tiles.photos.mat_sheet import MatSheet
from tiles.prints.stock import Box

Point = tuple[float, float]
Matrix = tuple[tuple[float, ...], ...]

# Codes of the mat that must be read before its scale is called good; with fewer it is rough.
GOOD_CODES = 3
# Scatter of one coordinate of a code's corner [px]: the reader gives whole pixels. 0.48 was measured on 159 corners of
# rendered photos (blur 0.6 to 1.6 px, tilt to 30°, noise to 6 of 255).
LEAST_SCATTER_PX = 0.5
# With a single code there is nothing to tell the scatter by, and its fourth corner is worse.
UNKNOWN_SCATTER_PX = 1.0
# A code's upper left, upper right and lower left corner have finder marks; the fourth is only reckoned by the reader,
# and strays 1.5 px where they stray 0.6 (measured here), so it serves only where a single code was read.
MARKED_CORNERS = [0, 1, 3]
# Focal length of a phone's main lens as if on 36 × 24 mm film: common practice, no source (24 to 28 mm are usual).
USUAL_FOCAL_MM = 26.0
FILM_DIAGONAL_MM = 43.267
# Standard deviations either way in the range that holds the truth 95 times in 100. Two would do if all corners strayed
# singly; those of one code stray together, and with two 88 of 100 were held (measured on 24 rendered photos).
COVER = 2.6


@dataclass(frozen=True, slots=True)
class ReadCode:
    """A QR code that was read: what it says and its corners [px], from the upper left of the code, clockwise."""

    content: str
    corners_px: tuple[Point, Point, Point, Point]


@dataclass(frozen=True, slots=True)
class SeenMat:
    """The photo mat in view.

    `homography` takes shares of the upright photo to mm on the mat; `upward`, with its inverse, carries places above
    the paper back into the photo. `px_per_mm` is of the upright original, at the middle of the tile's place on the
    paper; `plus_minus` [px/mm] holds it 95 times in 100, the printer's own scale apart. `residual_px` is how far the
    corners of the codes lie off the fit, root mean square. `is_rough`: fewer than three of the four codes were read.
    """

    sheet: str
    version: int
    corners: tuple[str, ...]
    homography: Matrix
    upward: tuple[float, float, float]
    px_per_mm: float
    plus_minus: float
    residual_px: float
    is_rough: bool
    tilt_deg: float
    distance_mm: float
    focal_known: bool
    printed_scale: float

    @property
    def layout(self) -> MatSheet:
        """What lies where on this sheet."""
        return mat_sheet.SHEETS[self.sheet]

    def shares_of(self, places_mm: ArrayLike, above_mm: float = 0.0) -> Array:
        """Where places [mm], so far above the paper, are seen in the photo [shares], shape (..., 2)."""
        return through(self._seen_from(above_mm), places_mm)

    def tile_corners(self, width_mm: float, height_mm: float, thickness_mm: float = 0.0) -> Array:
        """The face of a tile whose upper left corner lies in the mark: four corners [shares], clockwise, (4, 2).

        The tile is as large as it is; only the mark it lies in moves with the printer's scale.
        """
        x_mm, y_mm = (edge * self.printed_scale for edge in self.layout.tile_mark)
        return self.shares_of(mat_sheet.corners_of(Box(x_mm, y_mm, width_mm, height_mm)), thickness_mm)

    def box_corners(self, box: Box) -> Array:
        """A printed place's four corners in the photo [shares], clockwise, (4, 2)."""
        scaled = np.array(mat_sheet.corners_of(box)) * self.printed_scale
        return self.shares_of(scaled)

    def px_per_mm_on(self, thickness_mm: float) -> float:
        """Pixels of the upright original per mm on the face of a tile so thick."""
        middle = np.array(self.layout.tile_middle) * self.printed_scale
        paper, face = (scale_at(self._seen_from(above_mm), middle) for above_mm in (0.0, thickness_mm))
        return self.px_per_mm * face / paper

    def _seen_from(self, above_mm: float) -> Array:
        """The homography from places so far above the paper [mm] to the photo [shares]."""
        lifted = np.linalg.inv(np.array(self.homography))
        lifted[:, 2] += above_mm * np.array(self.upward)
        return lifted


@dataclass(frozen=True, slots=True)
class Camera:
    """Size of the picture the codes were read in and of the upright original [px], and the lens if the camera said."""

    width_px: int
    height_px: int
    original_width_px: int
    focal_35_mm: float | None = None

    @property
    def focal_px(self) -> float:
        """By the diagonal, as cameras state their film equivalent (CIPA DCG-001)."""
        diagonal_px = float(np.hypot(self.width_px, self.height_px))
        return (self.focal_35_mm or USUAL_FOCAL_MM) / FILM_DIAGONAL_MM * diagonal_px


def find_mat(codes: Sequence[ReadCode], camera: Camera, printed_scale: float = 1.0) -> SeenMat | None:
    """The mat that the codes in view belong to; None when none is the mat's, or they lie impossibly.

    Where codes of two mats are in view the sheet with more codes is taken.
    """
    corners = _corners_by_sheet(codes)
    if not corners:
        return None
    key = max(corners, key=lambda sheet: len(corners[sheet]))
    sheet, seen = mat_sheet.SHEETS[key], corners[key]
    named = sorted(seen, key=mat_sheet.CORNERS.index)
    kept = MARKED_CORNERS if len(named) > 1 else slice(None)
    places = np.concatenate([np.array(mat_sheet.corners_of(sheet.code(corner)))[kept] for corner in named])
    places *= printed_scale
    pixels = np.concatenate([seen[corner][kept] for corner in named])
    try:
        # Codes misread lie impossibly, and what is reckoned from them is looked at afterwards.
        with np.errstate(divide="ignore", invalid="ignore"):
            fitted = fit_homography(places, pixels)
            found = _seen(sheet, named, fitted, places, pixels, camera, printed_scale)
    except (ValueError, np.linalg.LinAlgError):
        return None
    return found if _is_possible(found) else None


def _is_possible(mat: SeenMat) -> bool:
    """Whether all figures are figures, and the whole sheet lies in front of the camera."""
    figures = (
        *np.ravel(mat.homography),
        *mat.upward,
        mat.px_per_mm,
        mat.plus_minus,
        mat.tilt_deg,
        mat.distance_mm,
    )
    if not np.isfinite(figures).all() or mat.distance_mm <= 0 or mat.px_per_mm <= 0:
        return False
    sheet = mat.layout
    corners = np.array(mat_sheet.corners_of(Box(0, 0, sheet.width_mm, sheet.height_mm)))
    depths = np.column_stack([corners, np.ones(4)]) @ np.linalg.inv(np.array(mat.homography))[2]
    return bool((depths > 0).all() or (depths < 0).all())


def _corners_by_sheet(codes: Sequence[ReadCode]) -> dict[str, dict[str, Array]]:
    """Corners [px] (4, 2) of each of the mat's codes, by sheet and corner."""
    found: dict[str, dict[str, Array]] = {}
    for code in codes:
        if named := mat_sheet.read(code.content):
            found.setdefault(named[0].key, {})[named[1]] = np.array(code.corners_px, dtype=np.float64)
    return found


def _seen(
    sheet: MatSheet,
    named: list[str],
    fitted: Array,
    places: Array,
    pixels: Array,
    camera: Camera,
    printed_scale: float,
) -> SeenMat:
    middle = np.array(sheet.tile_middle) * printed_scale
    enlarged = camera.original_width_px / camera.width_px
    off = through(fitted, places) - pixels
    scatter = _scatter_px(off)
    upward, tilt_deg, distance_mm = _standpoint(fitted, camera, middle)
    to_shares = np.diag([1 / camera.width_px, 1 / camera.height_px, 1.0])
    to_mm = np.linalg.inv(to_shares @ fitted)
    return SeenMat(
        sheet=sheet.key,
        version=mat_sheet.VERSION,
        corners=tuple(named),
        homography=_matrix(to_mm / to_mm[2, 2]),
        upward=_triple(to_shares @ upward * to_mm[2, 2]),
        px_per_mm=scale_at(fitted, middle) * enlarged,
        plus_minus=COVER * _scale_spread(places, pixels, middle, scatter) * enlarged,
        residual_px=float(np.sqrt((off**2).sum(axis=1).mean())) * enlarged,
        is_rough=len(named) < GOOD_CODES,
        tilt_deg=tilt_deg,
        distance_mm=distance_mm,
        focal_known=camera.focal_35_mm is not None,
        printed_scale=printed_scale,
    )


def _scatter_px(off: Array) -> float:
    """Standard deviation of one coordinate of a corner, from the residuals (n, 2) of 8 fitted figures."""
    free = off.size - 8
    if free <= 0:
        return UNKNOWN_SCATTER_PX
    return max(LEAST_SCATTER_PX, float(np.sqrt((off**2).sum() / free)))


def _scale_spread(places: Array, pixels: Array, middle: Array, scatter_px: float) -> float:
    """Standard deviation of the scale at a place [px/mm] when every coordinate scatters: each moved in turn."""
    usual = scale_at(fit_homography(places, pixels), middle)
    moved = []
    for index in range(pixels.size):
        nudged = pixels.copy()
        nudged.flat[index] += scatter_px
        moved.append(scale_at(fit_homography(places, nudged), middle) - usual)
    return float(np.linalg.norm(moved))


def _standpoint(fitted: Array, camera: Camera, middle_mm: Array) -> tuple[Array, float, float]:
    """Which way up from the paper leads in the picture (3,), the tilt [°], and how far away the paper is [mm].

    A homography of a plane is K·(r1, r2, t) but for its scale, and up is against r1 × r2: Hartley and Zisserman 2004,
    Multiple View Geometry, chapter 8. K has the focal length in both directions and the middle of the picture.
    """
    focal = camera.focal_px
    lens = np.array([[focal, 0, camera.width_px / 2], [0, focal, camera.height_px / 2], [0, 0, 1]])
    bare = np.linalg.solve(lens, fitted)
    scale = 2 / (np.linalg.norm(bare[:, 0]) + np.linalg.norm(bare[:, 1]))
    across, down, away = (bare * scale).T
    into_paper = np.cross(across, down)
    into_paper /= np.linalg.norm(into_paper)
    distance = away[2] + across[2] * middle_mm[0] + down[2] * middle_mm[1]
    tilt = np.degrees(np.arccos(min(1.0, abs(into_paper[2]))))
    return lens @ -into_paper / scale, float(tilt), float(distance)


def _matrix(values: Array) -> Matrix:
    return tuple(tuple(float(value) for value in row) for row in values)


def _triple(values: Array) -> tuple[float, float, float]:
    first, second, third = (float(value) for value in values)
    return first, second, third

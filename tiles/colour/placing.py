"""Where a zone of a tile lies in a photo: four corners, from the photo mat or from the form's proportions.

Corners are shares of the upright photo's sides, from the zone's upper left corner, clockwise.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from tiles.colour.homography import fit_homography, through
from tiles.colour.srgb import Array
from tiles.photos.mat import SeenMat

Corners = tuple[tuple[float, float], ...]

# Left out along each side of a zone, as a share of it: the coat's edge, the tile's bevel, where the next coat runs in.
EDGE_SHARE = 0.15
# Without the mat a tile is taken to fill so much of the photo, or all of the region it was filed with.
FILLS_THE_PHOTO = 0.8
# What an area must cover of the photo to be worth reading, as a share.
SMALLEST_AREA = 1e-5


@dataclass(frozen=True, slots=True)
class Face:
    """One face of a tile form [mm]."""

    width_mm: float
    height_mm: float
    thickness_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Place:
    """A rectangle on a face [mm], from its upper left corner."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    def within(self, face: Face, edge_share: float = EDGE_SHARE) -> Corners:
        """Its corners as shares of the face, its edges left out.

        >>> Place(10, 0, 20, 40).within(Face(40, 80), 0)
        ((0.25, 0.0), (0.75, 0.0), (0.75, 0.5), (0.25, 0.5))
        """
        inset_x, inset_y = edge_share * self.width_mm, edge_share * self.height_mm
        left, right = (self.x_mm + inset_x, self.x_mm + self.width_mm - inset_x)
        top, bottom = (self.y_mm + inset_y, self.y_mm + self.height_mm - inset_y)
        corners = ((left, top), (right, top), (right, bottom), (left, bottom))
        return tuple((x / face.width_mm, y / face.height_mm) for x, y in corners)


def face_on_mat(mat: SeenMat, face: Face) -> Corners:
    """The corners of a tile's face that lies in the mat's mark."""
    return _as_corners(mat.tile_corners(face.width_mm, face.height_mm, face.thickness_mm))


def face_by_proportions(
    face: Face, photo_px: tuple[int, int], region: Sequence[float] | None = None
) -> Corners:
    """The corners of a tile's face laid upright into a photo, or into its region (x, y, width, height in shares).

    >>> face_by_proportions(Face(50, 100), (1000, 1000), (0, 0, 1, 1))
    ((0.25, 0.0), (0.75, 0.0), (0.75, 1.0), (0.25, 1.0))
    """
    width_px, height_px = photo_px
    x, y, width, height = region or (0.0, 0.0, 1.0, 1.0)
    fills = 1.0 if region else FILLS_THE_PHOTO
    scale = fills * min(width * width_px / face.width_mm, height * height_px / face.height_mm)
    across, down = scale * face.width_mm / width_px, scale * face.height_mm / height_px
    left, top = x + (width - across) / 2, y + (height - down) / 2
    return ((left, top), (left + across, top), (left + across, top + down), (left, top + down))


def zone_on(face_corners: Corners, face: Face, place: Place) -> Corners:
    """Where a zone lies in the photo, from where the whole face lies."""
    square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    return _as_corners(through(fit_homography(square, face_corners), place.within(face)))


def _as_corners(places: Array) -> Corners:
    return tuple((round(float(x), 5), round(float(y), 5)) for x, y in places)


def read_corners(text: str) -> Corners:
    """Corners as a form sends them: eight shares with commas between; raises ValueError in a form's words.

    >>> read_corners("0,0,1,0,1,1,0,1")
    ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    """
    try:
        shares = [float(part) for part in text.split(",")]
    except ValueError:
        shares = []
    if len(shares) != 8 or not all(0 <= share <= 1 for share in shares):
        raise ValueError("An area is four corners within the photo. Lay it anew.")
    corners = tuple(zip(shares[0::2], shares[1::2], strict=True))
    if area_share(corners) < SMALLEST_AREA or not is_convex(corners):
        raise ValueError("This area is too small or its sides cross. Pull its corners apart.")
    return corners


def write_corners(corners: Corners) -> str:
    """Corners as `read_corners` reads them, cut to the photo.

    >>> write_corners(((-0.1, 0), (1, 0), (1, 1), (0, 1)))
    '0,0,1,0,1,1,0,1'
    """
    return ",".join(f"{min(max(share, 0.0), 1.0):.5g}" for corner in corners for share in corner)


def is_in_view(corners: Corners) -> bool:
    """Whether all corners lie within the photo."""
    return all(0 <= share <= 1 for corner in corners for share in corner)


def area_share(corners: Corners) -> float:
    """How much of the photo an area covers, by the shoelace formula."""
    x, y = np.array(corners).T
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)


def is_convex(corners: Corners) -> bool:
    """Whether the sides turn the same way all around, so that none cross."""
    points = np.array(corners)
    sides = np.roll(points, -1, axis=0) - points
    after = np.roll(sides, -1, axis=0)
    turns = sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0]
    return bool((turns > 0).all() or (turns < 0).all())


def middle_of(corners: Corners) -> tuple[float, float]:
    """The mean of the corners."""
    x, y = np.mean(corners, axis=0)
    return float(x), float(y)


def pixels_within(picture: NDArray[np.uint8], corners: Corners) -> NDArray[np.uint8]:
    """The pixels (n, 3) of a picture (h, w, 3) whose middles lie within an area."""
    height, width = picture.shape[:2]
    points = [(x * width, y * height) for x, y in corners]
    left, top = (max(0, int(min(axis)) - 1) for axis in zip(*points, strict=True))
    right, bottom = (
        min(end, int(max(axis)) + 2)
        for end, axis in zip((width, height), zip(*points, strict=True), strict=True)
    )
    mask = Image.new("1", (max(1, right - left), max(1, bottom - top)))
    ImageDraw.Draw(mask).polygon([(x - left - 0.5, y - top - 0.5) for x, y in points], fill=1)
    box = picture[top:bottom, left:right]
    return np.asarray(box[np.asarray(mask)[: box.shape[0], : box.shape[1]]])

"""How a shelf looks from above: tiles drawn to scale in their rows, and how much of it they take."""

from collections.abc import Sequence
from dataclasses import dataclass

# Room between tiles so that glazes do not touch, and between rows so that fingers and a number fit
# (common practice, no source).
GAP_MM = 10
ROW_GAP_MM = 26
EDGE_MM = 12
# A shelf that nobody measured is drawn this wide and deep, and said to be unmeasured.
USUAL_MM = 400
# From the back of the kiln to its door. A place that names none of them lies in the middle.
BACK, MIDDLE, FRONT = 0, 1, 2
Row = list["Footprint"]


@dataclass(frozen=True, slots=True)
class Footprint:
    """A tile as it stands on a shelf, seen from above [mm]."""

    label: str
    width_mm: float
    depth_mm: float
    place: str = ""
    on_cookie: bool = False
    is_warned: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """A drawn tile: its corner from the shelf's back left [mm]."""

    tile: Footprint
    x: float
    y: float

    @property
    def middle(self) -> float:
        """Where its number is centred [mm]."""
        return self.x + self.tile.width_mm / 2

    @property
    def above(self) -> float:
        """The line its number is written on, behind the tile [mm]."""
        return self.y - 5

    @property
    def cookie(self) -> tuple[float, float, float, float]:
        """The cookie under it: x, y, width, depth [mm]."""
        return self.x - 4, self.y - 4, self.tile.width_mm + 8, self.tile.depth_mm + 8


@dataclass(frozen=True, slots=True)
class ShelfPlan:
    """A shelf from above. `depth_mm` reaches as far as the tiles do, where they do not fit."""

    width_mm: float
    depth_mm: float
    drawn_depth_mm: float
    spots: tuple[Spot, ...]
    is_measured: bool

    @property
    def is_full(self) -> bool:
        """Whether the tiles, spaced as drawn, reach beyond the shelf."""
        return self.drawn_depth_mm > self.depth_mm

    @property
    def middle(self) -> float:
        return self.width_mm / 2

    @property
    def view(self) -> tuple[float, float]:
        """Width and height of the drawing with its margin [mm]."""
        return self.width_mm + 8, self.drawn_depth_mm + 8


def stands_on(width_mm: int, height_mm: int, thickness_mm: int, *, upright: bool) -> tuple[float, float]:
    """Width and depth a tile takes on the shelf [mm]: an upright tile stands on its edge, with its foot in front.

    The foot is taken as a third of the height, so that an upright tile is not drawn as a line.
    """
    return (width_mm, max(thickness_mm, height_mm / 3)) if upright else (width_mm, height_mm)


def lay_out(width_mm: int | None, depth_mm: int | None, tiles: Sequence[Footprint]) -> ShelfPlan:
    """Draw tiles where their place says: back, middle or front, left or right; else from the left in the middle.

    >>> plan = lay_out(200, 200, [Footprint("1042-9", 60, 20, "back"), Footprint("1043-2", 60, 20, "front right")])
    >>> [(spot.tile.label, spot.x, spot.y) for spot in plan.spots]
    [('1042-9', 12, 38), ('1043-2', 128, 168)]
    """
    width, depth = width_mm or USUAL_MM, depth_mm or USUAL_MM
    bands = [
        _filled([tile for tile in tiles if _band(tile.place) == band], width)
        for band in (BACK, MIDDLE, FRONT)
    ]
    needed = sum(map(_height, bands)) + 2 * EDGE_MM
    free = max(depth - needed, 0)
    spots: list[Spot] = []
    y: float = EDGE_MM
    for band, rows in enumerate(bands):
        shift = (0, free / 2, free)[band]
        for row in rows:
            spots += _spots(row, y + shift + ROW_GAP_MM, width)
            y += _height([row])
    return ShelfPlan(width, depth, max(needed, depth), tuple(spots), bool(width_mm and depth_mm))


def _band(place: str) -> int:
    words = place.casefold()
    return BACK if "back" in words else FRONT if "front" in words else MIDDLE


def _is_right(tile: Footprint) -> bool:
    return "right" in tile.place.casefold()


def _height(rows: Sequence[Row]) -> float:
    return sum(ROW_GAP_MM + max(tile.depth_mm for tile in row) for row in rows)


def _filled(tiles: Sequence[Footprint], width: float) -> list[Row]:
    """Rows as full as the shelf is wide, tiles that stand on the left first."""
    rows: list[Row] = []
    used: float = width
    for tile in sorted(tiles, key=_is_right):
        if not rows or used + GAP_MM + tile.width_mm > width - EDGE_MM:
            rows.append([])
            used = EDGE_MM - GAP_MM
        rows[-1].append(tile)
        used += GAP_MM + tile.width_mm
    return rows


def _spots(row: Row, y: float, width: float) -> list[Spot]:
    right = [tile for tile in row if _is_right(tile)]
    left = [tile for tile in row if not _is_right(tile)]
    from_right = width - EDGE_MM - sum(tile.width_mm + GAP_MM for tile in right) + GAP_MM
    return [*_in_line(left, EDGE_MM, y), *_in_line(right, from_right, y)]


def _in_line(tiles: Sequence[Footprint], x: float, y: float) -> list[Spot]:
    spots = []
    for tile in tiles:
        spots.append(Spot(tile, x, y))
        x += tile.width_mm + GAP_MM
    return spots

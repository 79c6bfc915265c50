"""How a shelf looks from above: tiles drawn to scale in their rows, and how much of it they take."""

from collections.abc import Sequence
from dataclasses import dataclass

# Room between tiles so that glazes do not touch, and between rows so that fingers and a number fit
# (common practice, no source).
GAP_MM = 10
ROW_GAP_MM = 22
EDGE_MM = 12
# A shelf that nobody measured is drawn this wide and deep, and said to be unmeasured.
USUAL_MM = 400
# Rows run from the back of the kiln to the front; a place that is none of these comes last.
ROWS = ("back", "", "middle", "front")


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
    """Draw tiles in rows from the back to the front, those of one place together.

    >>> plan = lay_out(200, 200, [Footprint("1042-9", 60, 20), Footprint("1043-2", 60, 20, "front")])
    >>> [(spot.tile.label, spot.x, spot.y) for spot in plan.spots]
    [('1042-9', 12, 34), ('1043-2', 12, 76)]
    """
    width, depth = width_mm or USUAL_MM, depth_mm or USUAL_MM
    spots: list[Spot] = []
    y: float = EDGE_MM
    for row in _rows(tiles, width):
        y += ROW_GAP_MM
        spots += _spots(row, y)
        y += max(tile.depth_mm for tile in row)
    drawn = y + EDGE_MM if spots else 0
    return ShelfPlan(width, depth, max(drawn, depth), tuple(spots), bool(width_mm and depth_mm))


def _rows(tiles: Sequence[Footprint], width: float) -> list[list[Footprint]]:
    places = sorted({tile.place.casefold() for tile in tiles}, key=_from_the_back)
    rows: list[list[Footprint]] = []
    for place in places:
        rows += _filled([tile for tile in tiles if tile.place.casefold() == place], width)
    return rows


def _from_the_back(place: str) -> tuple[int, str]:
    named = [row for row in ROWS if row and row in place]
    return (ROWS.index(named[0] if named else place) if named or place in ROWS else len(ROWS), place)


def _filled(tiles: Sequence[Footprint], width: float) -> list[list[Footprint]]:
    rows: list[list[Footprint]] = []
    used: float = width
    for tile in tiles:
        if not rows or used + GAP_MM + tile.width_mm > width - EDGE_MM:
            rows.append([])
            used = EDGE_MM - GAP_MM
        rows[-1].append(tile)
        used += GAP_MM + tile.width_mm
    return rows


def _spots(row: Sequence[Footprint], y: float) -> list[Spot]:
    x: float = EDGE_MM
    spots = []
    for tile in row:
        spots.append(Spot(tile, x, y))
        x += tile.width_mm + GAP_MM
    return spots

"""A kiln's shelves from the front, to scale."""

from collections.abc import Sequence
from dataclasses import dataclass

from firings.kilns.facts import ShelfFacts
from firings.vocabulary import ShelfShape

# What nobody measured is drawn so large, and said to be unmeasured.
USUAL_WIDTH_MM, USUAL_HEIGHT_MM = 400, 150
# Kiln shelves are 10 to 25 mm thick (common practice, no source).
BOARD_MM = 16
MARGIN_MM = 30
WALL_MM = 6


@dataclass(frozen=True, slots=True)
class DrawnShelf:
    """One shelf from the front [mm]; `y` is the top of the board, the room is above it."""

    position: int
    x: float
    y: float
    width_mm: float
    room_mm: float
    size_words: str
    is_measured: bool

    @property
    def props(self) -> tuple[float, float]:
        """Where the two props under the next shelf stand [mm]."""
        return self.x + 12, self.x + self.width_mm - 20

    @property
    def room_top(self) -> float:
        return self.y - self.room_mm

    @property
    def middle(self) -> tuple[float, float]:
        """Where its number is written [mm]."""
        return self.x + self.width_mm / 2, self.y - self.room_mm / 2


@dataclass(frozen=True, slots=True)
class Elevation:
    """All shelves of a kiln from the front; the drawing's own size in mm."""

    width_mm: float
    height_mm: float
    shelves: tuple[DrawnShelf, ...]

    @property
    def wall(self) -> tuple[float, float, float, float]:
        """The inside of the kiln: x, y, width, height [mm]."""
        return WALL_MM, WALL_MM, self.width_mm - 2 * WALL_MM, self.height_mm - 2 * WALL_MM

    @property
    def is_measured(self) -> bool:
        return all(shelf.is_measured for shelf in self.shelves)


def size_words(shelf: ShelfFacts) -> str:
    """A shelf's sizes as one writes them.

    >>> size_words(ShelfFacts(1, 400, 350, 150)), size_words(ShelfFacts(2))
    ('400 × 350 mm, 150 mm room', 'not measured')
    >>> size_words(ShelfFacts(1, 520, 520, shape="round"))
    'round, 520 mm across'
    """
    board = f"{shelf.width_mm} × {shelf.depth_mm} mm" if shelf.width_mm and shelf.depth_mm else ""
    if shelf.shape == ShelfShape.ROUND.value:
        board = f"round, {shelf.width_mm} mm across" if shelf.width_mm else "round"
    room = f"{shelf.height_mm} mm room" if shelf.height_mm else ""
    return ", ".join(filter(None, (board, room))) or "not measured"


def elevation(shelves: Sequence[ShelfFacts]) -> Elevation:
    """Shelves stacked as they stand in the kiln, the lowest at the foot of the drawing.

    >>> drawn = elevation([ShelfFacts(1, 400, 400, 100), ShelfFacts(2, 400, 400, 200)])
    >>> [(shelf.position, shelf.y, shelf.room_mm) for shelf in drawn.shelves]
    [(2, 230, 200), (1, 346, 100)]
    """
    rooms = [shelf.height_mm or USUAL_HEIGHT_MM for shelf in shelves]
    height = sum(rooms) + BOARD_MM * len(shelves) + 2 * MARGIN_MM
    width = (
        max((shelf.width_mm or USUAL_WIDTH_MM for shelf in shelves), default=USUAL_WIDTH_MM) + 2 * MARGIN_MM
    )
    drawn = []
    foot: float = height - MARGIN_MM
    for shelf, room in sorted(zip(shelves, rooms, strict=True), key=lambda pair: pair[0].position):
        drawn.append(_drawn(shelf, room, foot - BOARD_MM, width))
        foot -= BOARD_MM + room
    return Elevation(width, height, tuple(reversed(drawn)))


def _drawn(shelf: ShelfFacts, room_mm: float, y: float, width_mm: float) -> DrawnShelf:
    board = shelf.width_mm or USUAL_WIDTH_MM
    measured = bool(shelf.width_mm and shelf.height_mm)
    return DrawnShelf(shelf.position, (width_mm - board) / 2, y, board, room_mm, size_words(shelf), measured)

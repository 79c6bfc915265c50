"""How a shelf looks from above: what stands on it to scale, how much of it that takes, what lies over what."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil

from tiles.loading.packing import Piece, Room, Standing, clashes, share_taken, stand_near, word_point

# A shelf that nobody measured is drawn this wide and deep, and said to be unmeasured.
USUAL_MM = 400
MARGIN_MM = 8
# A number fills so much of its tile's width; a figure is about 0.62 of its size wide.
NUMBER_SHARE, FIGURE_SHARE = 0.92, 0.62
LARGEST_NUMBER, SMALLEST_NUMBER = 17.0, 7.0


@dataclass(frozen=True, slots=True)
class Seen:
    """What stands on a shelf. `key` names it in a move, `mark` tells the state that was seen; the corner is None
    where only words say where it stands."""

    key: str
    label: str
    piece: Piece
    place: str = ""
    x_mm: int | None = None
    y_mm: int | None = None
    mark: int = 0
    is_warned: bool = False
    is_cones: bool = False

    @property
    def standing(self) -> Standing | None:
        """It as it stands, where that is known to the millimetre."""
        if self.x_mm is None or self.y_mm is None:
            return None
        return Standing(self.piece, self.piece.shelf or 0, self.x_mm, self.y_mm)


@dataclass(frozen=True, slots=True)
class Spot:
    """A drawn piece; `is_exact` where its place is known to the millimetre, not by words alone."""

    seen: Seen
    standing: Standing
    is_exact: bool
    is_amiss: bool = False

    @property
    def middle(self) -> tuple[float, float]:
        """Where its number is centred [mm]."""
        piece = self.standing.piece
        return self.standing.x_mm + piece.width_mm / 2, self.standing.y_mm + piece.depth_mm / 2

    @property
    def number_size(self) -> float:
        """How large its number is written [mm]."""
        room = NUMBER_SHARE * self.standing.piece.width_mm / (FIGURE_SHARE * max(len(self.seen.label), 1))
        return round(max(SMALLEST_NUMBER, min(LARGEST_NUMBER, room)), 1)


@dataclass(frozen=True, slots=True)
class ShelfPlan:
    """A shelf from above. `undrawn` stand on it by what was noted, and find no room in the drawing."""

    room: Room
    is_measured: bool
    spots: tuple[Spot, ...]
    undrawn: tuple[str, ...] = ()
    amiss: tuple[str, ...] = field(default=())

    @property
    def taken_pct(self) -> int:
        """How much of its area is taken, in per cent."""
        return round(100 * share_taken([self.room], [spot.standing for spot in self.spots]))

    @property
    def middle(self) -> float:
        return self.room.width_mm / 2

    @property
    def view(self) -> tuple[float, float]:
        """Width and height of the drawing with its margin [mm]."""
        return self.room.width_mm + 2 * MARGIN_MM, self.room.depth_mm + 2 * MARGIN_MM


def room_of(
    position: int, width_mm: int | None, depth_mm: int | None, height_mm: int | None, *, is_round: bool
) -> Room:
    """A shelf as packing sees it; one that nobody measured is taken as usually large."""
    width = width_mm or depth_mm or USUAL_MM
    return Room(position, width, width if is_round else depth_mm or USUAL_MM, height_mm, is_round)


def stands_on(width_mm: int, height_mm: int, thickness_mm: int, *, upright: bool) -> tuple[int, int, int]:
    """Width and depth a tile takes on the shelf, and how high it stands [mm]; an upright tile stands on its edge, with
    its foot in front.

    The foot is taken as a third of the height, so that an upright tile does not fall (common practice, no source).

    >>> stands_on(70, 110, 7, upright=True), stands_on(70, 110, 7, upright=False)
    ((70, 37, 110), (70, 110, 7))
    """
    if upright:
        return width_mm, max(thickness_mm, ceil(height_mm / 3)), height_mm
    return width_mm, height_mm, thickness_mm


def lay_out(room: Room, seen: Sequence[Seen], *, is_measured: bool = True) -> ShelfPlan:
    """Draw what stands on a shelf: where it is known to stand, else as near as there is room to what its place says.

    >>> places = ["back", "front right"]
    >>> put = [Seen(place, place, Piece(n, 60, 20, 90), place) for n, place in enumerate(places)]
    >>> [(spot.standing.x_mm, spot.standing.y_mm) for spot in lay_out(Room(1, 200, 200), put).spots]
    [(70, 23), (137, 157)]
    """
    known = [(one, one.standing) for one in seen if one.standing]
    fixed = [standing for _, standing in known]
    vague = [one for one in seen if not one.standing]
    wanted = [(one.piece, *word_point(one.place, room.width_mm, room.depth_mm)) for one in vague]
    near = list(zip(vague, stand_near(room, wanted, fixed), strict=True))
    found = clashes(room, fixed)
    bad = {key for clash in found for key in (clash.one, clash.other) if key is not None}
    labels = {one.piece.key: one.label for one in seen}
    return ShelfPlan(
        room,
        is_measured,
        (
            *(Spot(one, standing, True, one.piece.key in bad) for one, standing in known),
            *(Spot(one, standing, False) for one, standing in near if standing),
        ),
        tuple(one.label for one, standing in near if not standing),
        tuple(_clash_words(labels, clash.one, clash.other) for clash in found),
    )


def _clash_words(labels: dict[int, str], one: int, other: int | None) -> str:
    if other is None:
        return f"{labels[one]} reaches over the edge of the shelf."
    return f"{labels[one]} and {labels[other]} lie over each other. Move one of them."

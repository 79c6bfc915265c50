"""Waiting tiles by the fire they ask for: cone, atmosphere, hold; and how full they would make a kiln."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from firings.cones import series
from firings.vocabulary import Atmosphere, KilnKind
from tiles.loading.packing import GAP_MM, Piece, Room
from tiles.loading.warnings import tile_words


@dataclass(frozen=True, slots=True)
class Fire:
    """What is asked of a firing; the cone is its rank, None where nobody said it, the atmosphere is empty then too."""

    cone_order: int | None
    atmosphere: str
    hold_min: int

    @property
    def words(self) -> str:
        """The fire in a heading.

        >>> Fire(30, "oxidation", 10).words, Fire(None, "", 0).words
        ('Cone 6, oxidation, 10 min hold', 'Cone not said, atmosphere not said')
        """
        cone = f"Cone {series.label_of(self.cone_order)}" if self.cone_order else "Cone not said"
        air = Atmosphere.label_of(self.atmosphere) or "atmosphere not said"
        return ", ".join(filter(None, (cone, air, f"{self.hold_min} min hold" if self.hold_min else "")))

    @property
    def fired_in(self) -> str:
        """The atmosphere of a firing made for it: oxidation where none is asked (common practice, no source)."""
        return self.atmosphere or Atmosphere.OXIDATION.value

    @property
    def key(self) -> str:
        """It as a word of a form."""
        return f"{self.cone_order or 0}.{self.atmosphere}.{self.hold_min}"


def fire_of(words: str) -> Fire:
    """Read a fire's key. Raises ValueError where it is none that can be fired.

    >>> fire_of("30.oxidation.10")
    Fire(cone_order=30, atmosphere='oxidation', hold_min=10)
    """
    cone, _, rest = words.partition(".")
    air, _, hold = rest.partition(".")
    known = air in ("", *Atmosphere.values())
    if not (known and cone.isascii() and cone.isdecimal() and hold.isascii() and hold.isdecimal()):
        raise ValueError("Choose one of the groups on the page.")
    if not 1 <= int(cone[:4]) <= 38 or len(hold) > 4 or int(hold) > 6000:
        raise ValueError("Choose a group whose cone is said.")
    return Fire(int(cone), air, int(hold))


def hold_asked(planned_min: int | None, body_min: int | None) -> int:
    """The hold a tile asks for: as planned for it, else what its body is always given.

    >>> hold_asked(None, 10), hold_asked(0, 10), hold_asked(None, None)
    (10, 0, 0)
    """
    return planned_min if planned_min is not None else body_min or 0


@dataclass(frozen=True, slots=True)
class WaitingTile:
    """A tile that waits, the fire it asks for and what it takes on a shelf."""

    label: str
    fire: Fire
    piece: Piece


@dataclass(frozen=True, slots=True)
class Group:
    """Tiles that ask for one fire."""

    fire: Fire
    tiles: tuple[WaitingTile, ...]

    @property
    def count(self) -> int:
        return len(self.tiles)

    @property
    def numbers(self) -> str:
        return tile_words([tile.label for tile in self.tiles])

    @property
    def area_mm2(self) -> float:
        """What they take on shelves, with cookies under runners and room between all."""
        sizes = (tile.piece.takes_mm for tile in self.tiles)
        return float(sum((width + GAP_MM) * (depth + GAP_MM) for width, depth, _ in sizes))

    @property
    def area_cm2(self) -> int:
        return round(self.area_mm2 / 100)

    @property
    def runners(self) -> int:
        return sum(tile.piece.runs for tile in self.tiles)

    def fills_pct(self, rooms: Sequence[Room]) -> int:
        """How full a kiln would be, by area: above 100 where one firing does not do."""
        room = sum(_with_gap(one) for one in rooms)
        return round(100 * self.area_mm2 / room) if room else 0


def _with_gap(room: Room) -> float:
    return room.area_mm2 + GAP_MM * (room.width_mm + room.depth_mm)


def grouped(tiles: Iterable[WaitingTile]) -> list[Group]:
    """The groups, coolest first, those of which nobody said the cone last."""
    by_fire: dict[Fire, list[WaitingTile]] = defaultdict(list)
    for tile in tiles:
        by_fire[tile.fire].append(tile)
    rising = sorted(by_fire, key=lambda fire: (fire.cone_order or 99, fire.atmosphere, fire.hold_min))
    return [Group(fire, tuple(sorted(by_fire[fire], key=lambda tile: tile.label))) for fire in rising]


def suits(kind: str, fire: Fire) -> bool:
    """Whether a kiln of a kind is offered for it: reduction eats electric elements (common practice, no source).

    >>> suits("electric", Fire(34, "reduction", 0)), suits("gas", Fire(34, "reduction", 0))
    (False, True)
    """
    return not (kind == KilnKind.ELECTRIC.value and fire.atmosphere == Atmosphere.REDUCTION.value)

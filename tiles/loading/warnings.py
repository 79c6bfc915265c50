"""What about a load contradicts what the studio knows: a body's hold, a glaze's range, a known runner.

A warning says what to do and never stops anyone: a tester may mean exactly that.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from firings.cones import series
from firings.vocabulary import Purpose
from firings.words import listed

# So many tile numbers are written out; the rest are counted.
NAMED = 6


@dataclass(frozen=True, slots=True)
class FireFacts:
    """A firing as far as warnings go. `cone_order` is the reached cone where it is known, else the target."""

    purpose: str
    cone_order: int | None
    hold_min: int
    target_order: int | None = None


@dataclass(frozen=True, slots=True)
class GlazeFacts:
    """A glaze on a tile. Its cone range are ranks; None where the label gives none."""

    name: str
    known_runner: bool = False
    low_order: int | None = None
    high_order: int | None = None


@dataclass(frozen=True, slots=True)
class TileFacts:
    """A tile in the load, with its glazes as they are now; `flux_under` tells that a flux lies under another glaze."""

    label: str
    body: str
    body_hold_min: int | None = None
    body_high_order: int | None = None
    glazes: tuple[GlazeFacts, ...] = ()
    flux_under: bool = False
    is_bisqued: bool = True
    on_cookie: bool = False
    is_lowest: bool = False
    stands_mm: int | None = None
    room_mm: int | None = None
    also_in: str = ""
    planned_order: int | None = None

    @property
    def runners(self) -> tuple[str, ...]:
        """Why it may run, in words."""
        known = tuple(glaze.name for glaze in self.glazes if glaze.known_runner)
        return (*known, "a flux under a glaze") if self.flux_under else known


def tile_words(tiles: Sequence[str]) -> str:
    """Tile numbers in a sentence.

    >>> tile_words(["1042-9", "1043-2"])
    '1042-9 and 1043-2'
    """
    if len(tiles) > NAMED + 1:
        return f"{', '.join(tiles[:NAMED])} and {len(tiles) - NAMED} more"
    return listed(tiles)


def _cone(order: int) -> str:
    return f"cone {series.label_of(order)}"


def _whole_cone(order: int) -> str:
    """For a narrow list: the figure stays on the line of its word."""
    return _cone(order).replace(" ", "\xa0")


@dataclass(frozen=True, slots=True)
class PlannedForAnotherCone:
    """A tile was made for another cone than this firing goes to: it may be the wrong firing."""

    planned_order: int
    target_order: int
    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"Planned for {_cone(self.planned_order)}, while this firing goes to {_cone(self.target_order)}: "
            f"{tile_words(self.tiles)}. Take off what belongs in another firing."
        )

    @property
    def brief(self) -> str:
        return f"planned for {_whole_cone(self.planned_order)}"


@dataclass(frozen=True, slots=True)
class HoldNotMet:
    """The studio always holds this body longer than this firing does."""

    body: str
    body_hold_min: int
    hold_min: int
    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"{self.body} is always held {self.body_hold_min} min; this firing holds {self.hold_min} min. "
            f"Hold it {self.body_hold_min} min, or leave out {tile_words(self.tiles)}."
        )


@dataclass(frozen=True, slots=True)
class BodyOverRange:
    """The fire is hotter than the clay body bears."""

    body: str
    high_order: int
    cone_order: int
    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        them = "it" if len(self.tiles) == 1 else "them"
        return (
            f"{self.body} matures by {_cone(self.high_order)} and may bloat or slump at {_cone(self.cone_order)}. "
            f"Take off {tile_words(self.tiles)}, or stand {them} on a cookie that catches what melts."
        )

    @property
    def brief(self) -> str:
        return f"{self.body} up to {_whole_cone(self.high_order)}"


@dataclass(frozen=True, slots=True)
class GlazeOverRange:
    """The fire is hotter than the glaze's label says."""

    glaze: str
    high_order: int
    cone_order: int
    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"{self.glaze} is meant for up to {_cone(self.high_order)}, this firing goes to {_cone(self.cone_order)}: "
            f"it may run. Put {tile_words(self.tiles)} on a cookie, or keep for a cooler firing."
        )

    @property
    def brief(self) -> str:
        return f"{self.glaze} up to {_whole_cone(self.high_order)}"


@dataclass(frozen=True, slots=True)
class GlazeUnderRange:
    """The fire is cooler than the glaze's label says."""

    glaze: str
    low_order: int
    cone_order: int
    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"{self.glaze} is meant for {_cone(self.low_order)} and hotter, this firing goes to "
            f"{_cone(self.cone_order)}: it may stay dry. Keep {tile_words(self.tiles)} for a hotter firing."
        )

    @property
    def brief(self) -> str:
        return f"{self.glaze} from {_whole_cone(self.low_order)}"


@dataclass(frozen=True, slots=True)
class RunnerUnguarded:
    """A glaze known to run stands where it would glue itself to a shelf with ware below."""

    reason: str
    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"{self.reason[:1].upper()}{self.reason[1:]} is known to run. Put {tile_words(self.tiles)} on a cookie, "
            "or on the bottom shelf."
        )


@dataclass(frozen=True, slots=True)
class Unglazed:
    """No glaze on a tile in a glaze firing: there will be nothing to judge."""

    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"No glaze is written down for {tile_words(self.tiles)}. Fill in the coat grid, or take off: "
            "there will be nothing to judge."
        )


@dataclass(frozen=True, slots=True)
class NotBisqued:
    """No bisque firing is known of."""

    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"No bisque firing is written down for {tile_words(self.tiles)}. If you mean to fire once, make sure that "
            "the clay is dry through: damp ware bursts. Else write the bisque firing down."
        )


@dataclass(frozen=True, slots=True)
class GlazedInBisque:
    """Glaze on a tile in a bisque firing."""

    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"Glaze is written down for {tile_words(self.tiles)}, and this is a bisque firing. Take off, or plan a "
            "glaze firing for them."
        )


@dataclass(frozen=True, slots=True)
class TooTall:
    """A tile stands higher than the room above its shelf."""

    room_mm: int
    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"There are {self.room_mm} mm above this shelf, less than {tile_words(self.tiles)} stand high. Lay them "
            "down, or give this shelf longer props."
        )


@dataclass(frozen=True, slots=True)
class InTwoLoads:
    """A tile is down for another firing that has not been fired yet."""

    other: str
    tiles: tuple[str, ...]

    @property
    def words(self) -> str:
        return (
            f"{self.other} has not been fired yet and holds {tile_words(self.tiles)} too. If it is to go only into "
            "this one, take it off there."
        )


# It may be the wrong firing: said at each such tile too, as nothing mends it once the kiln is lit.
ConeWarning = PlannedForAnotherCone | BodyOverRange | GlazeOverRange | GlazeUnderRange

LoadWarning = (
    ConeWarning | HoldNotMet | RunnerUnguarded | Unglazed | NotBisqued | GlazedInBisque | TooTall | InTwoLoads
)


def warnings_of(fire: FireFacts, tiles: Sequence[TileFacts]) -> list[LoadWarning]:
    """All that contradicts what the studio knows, each kind once with the tiles it is about."""
    found: list[LoadWarning] = []
    if fire.purpose == Purpose.GLAZE.value:
        for check in (_planned_cones, _holds, _body_ranges, _glaze_ranges, _runners, _purposes):
            found += check(fire, tiles)
    elif fire.purpose == Purpose.BISQUE.value:
        found += _grouped(tiles, lambda tile: [()] if tile.glazes else [], GlazedInBisque)
    found += _grouped(tiles, _room, TooTall)
    found += _grouped(tiles, lambda tile: [(tile.also_in,)] if tile.also_in else [], InTwoLoads)
    return found


def of_the_cone(warnings: Iterable[LoadWarning]) -> list[ConeWarning]:
    """Those that say a tile may be in the wrong firing."""
    return [warning for warning in warnings if isinstance(warning, ConeWarning)]


def cone_words(warnings: Iterable[LoadWarning]) -> dict[str, str]:
    r"""What each tile that may be in the wrong firing was meant for, in few words, by its number.

    >>> order = series.order_of
    >>> cone_words([PlannedForAnotherCone(order("10"), order("5"), ("1042-9",))])
    {'1042-9': 'planned for cone\xa010'}
    """
    said: dict[str, list[str]] = defaultdict(list)
    for warning in of_the_cone(warnings):
        for label in warning.tiles:
            said[label].append(warning.brief)
    return {label: ", ".join(briefs) for label, briefs in said.items()}


def _grouped(
    tiles: Sequence[TileFacts],
    facts: Callable[[TileFacts], Iterable[tuple]],
    kind: Callable[..., LoadWarning],
) -> Iterator[LoadWarning]:
    """One warning for each distinct set of facts, with all the tiles it holds for."""
    groups: dict[tuple, list[str]] = defaultdict(list)
    for tile in tiles:
        for fact in facts(tile):
            groups[fact].append(tile.label)
    return (kind(*fact, tuple(labels)) for fact, labels in groups.items())


def _planned_cones(fire: FireFacts, tiles: Sequence[TileFacts]) -> Iterator[LoadWarning]:
    target = fire.target_order
    return _grouped(
        tiles,
        lambda tile: (
            [(tile.planned_order, target)]
            if target and tile.planned_order and tile.planned_order != target
            else []
        ),
        PlannedForAnotherCone,
    )


def _holds(fire: FireFacts, tiles: Sequence[TileFacts]) -> Iterator[LoadWarning]:
    return _grouped(
        tiles,
        lambda tile: (
            [(tile.body, tile.body_hold_min, fire.hold_min)]
            if (tile.body_hold_min or 0) > fire.hold_min
            else []
        ),
        HoldNotMet,
    )


def _body_ranges(fire: FireFacts, tiles: Sequence[TileFacts]) -> Iterator[LoadWarning]:
    cone = fire.cone_order
    return _grouped(
        tiles,
        lambda tile: (
            [(tile.body, tile.body_high_order, cone)]
            if cone and tile.body_high_order and cone > tile.body_high_order
            else []
        ),
        BodyOverRange,
    )


def _glaze_ranges(fire: FireFacts, tiles: Sequence[TileFacts]) -> Iterator[LoadWarning]:
    cone = fire.cone_order
    if cone is None:
        return
    yield from _grouped(
        tiles,
        lambda tile: dict.fromkeys(
            (glaze.name, glaze.high_order, cone)
            for glaze in tile.glazes
            if glaze.high_order and cone > glaze.high_order
        ),
        GlazeOverRange,
    )
    yield from _grouped(
        tiles,
        lambda tile: dict.fromkeys(
            (glaze.name, glaze.low_order, cone)
            for glaze in tile.glazes
            if glaze.low_order and cone < glaze.low_order
        ),
        GlazeUnderRange,
    )


def _runners(fire: FireFacts, tiles: Sequence[TileFacts]) -> Iterator[LoadWarning]:
    unguarded = [tile for tile in tiles if not tile.on_cookie and not tile.is_lowest]
    return _grouped(
        unguarded, lambda tile: dict.fromkeys((reason,) for reason in tile.runners), RunnerUnguarded
    )


def _purposes(fire: FireFacts, tiles: Sequence[TileFacts]) -> Iterator[LoadWarning]:
    yield from _grouped(tiles, lambda tile: [] if tile.glazes else [()], Unglazed)
    yield from _grouped(tiles, lambda tile: [] if tile.is_bisqued else [()], NotBisqued)


def _room(tile: TileFacts) -> Iterable[tuple]:
    return [(tile.room_mm,)] if tile.stands_mm and tile.room_mm and tile.stands_mm > tile.room_mm else []

"""A plan worked out: its tile list, what lies on each tile, where it stands, and what all of it takes."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from firings.words import listed
from tiles.plans.laying import Coat, coats_of, laid
from tiles.plans.loads import Loads, ShelfRoom, loads
from tiles.plans.sketch import NEEDED, Sketch
from tiles.plans.tilelist import Combination, PlannedTile, TileList, tile_list
from tiles.plans.totals import FormFacts, MadeTile, Totals, totals


class Unfinished(ValueError):
    """Something is still missing from the plan; the message says what to choose."""


MISSING = {
    "glaze": "a glaze",
    "coats": "the numbers of coats",
    "body": "a clay body",
    "form": "a tile form",
}


@dataclass(frozen=True, slots=True)
class Ground:
    """What a plan stands on: the studio's forms, lots and shelves, and what a coat takes there [g/cm², wet]."""

    forms: Mapping[str, FormFacts]
    room: Mapping[str, int]
    own_lots: Mapping[str, Collection[str]]
    shelves: Sequence[ShelfRoom]
    laydown: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A plan worked out. `tiles` repeats each tile of the list for its copies; `loads` goes with it."""

    listed: TileList
    tiles: tuple[PlannedTile, ...]
    made: tuple[MadeTile, ...]
    loads: Loads
    totals: Totals

    @property
    def in_order(self) -> list[int]:
        """The places of the tiles, in the random order of the making."""
        return list(self.loads.order)


def reckoned(sketch: Sketch, ground: Ground, existing: Sequence[Combination] = ()) -> Reckoned:
    """Work a plan out.

    Raises
    ------
    Unfinished : a factor that every tile needs has no level
    tiles.plans.covering.ImpossiblePlan : too large, or the rules leave nothing
    """
    missing = [MISSING[factor] for factor in NEEDED if not sketch.levels.get(factor)]
    if missing:
        raise Unfinished(f"Still to choose: {listed(missing)}.")
    found = tile_list(sketch, room=ground.room, existing=existing, own_lots=ground.own_lots)
    tiles = tuple(tile for tile in found.tiles for _ in range(sketch.copies))
    made = tuple(made_of(tile, sketch, ground.forms[tile.first["form"]]) for tile in tiles)
    placed = loads(
        [tile.first for tile in tiles], [one.form.footprint_mm for one in made], ground.shelves, sketch.seed
    )
    return Reckoned(
        found,
        tiles,
        made,
        placed,
        totals(made, sketch, glaze_firings=len(placed.fires), shelves=ground.shelves, laydown=ground.laydown),
    )


def made_of(tile: PlannedTile, sketch: Sketch, form: FormFacts) -> MadeTile:
    """What lies on each zone of a tile that is not bare."""
    zones = laid(tile.combinations, form.zones, sketch.rest)
    coats: dict[str, tuple[Coat, ...]] = {
        name: coats_of(one, sketch) for name, one in zones.items() if one is not None
    }
    return MadeTile(form, coats)

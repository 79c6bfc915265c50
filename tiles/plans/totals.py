"""What a plan takes: tiles, clay, each glaze, shelf, firings, days, money. Every figure says what it rests on."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from types import MappingProxyType

from tiles.plans.laying import Coat, ZonePlace
from tiles.plans.loads import GAP_MM, ShelfRoom
from tiles.plans.sketch import Sketch
from tiles.vocabulary import Method

# About three quarters of a millimetre of three brushed coats, dry, at a slop of SG 1.45 that packs to one half: common
# practice, no source. Weigh a few tiles of your own to know better.
WET_G_PER_CM2_COAT = 0.065
# A dip of a second or two lays on about three brushed coats (common practice, no source).
COATS_OF_A_DIP = 3
# Plastic clay weighs 1.9 to 2.0 g/cm3 (from memory, unverified).
CLAY_G_PER_CM3 = 1.95


def wet_g(area_cm2: float, coats: float, *, method: str, coat_g_cm2: float = WET_G_PER_CM2_COAT) -> float:
    """Wet glaze laid on an area [g]; a dip counts as three coats, however long.

    Parameters
    ----------
    coat_g_cm2 : what a coat takes [g/cm²], as weighed in the studio where it was
    """
    return area_cm2 * (COATS_OF_A_DIP if method == Method.DIP else coats) * coat_g_cm2


def with_waste(mass: float, waste_pct: float) -> float:
    """What to have at hand so that what stays in the brush and the bucket is there too."""
    return mass * (1 + waste_pct / 100)


@dataclass(frozen=True, slots=True)
class FormFacts:
    """A tile form as a plan needs it: the dry tile's size, and what it takes on a shelf [mm]."""

    width_mm: float
    height_mm: float
    thickness_mm: float
    footprint_mm: tuple[float, float]
    zones: tuple[ZonePlace, ...]

    @property
    def volume_cm3(self) -> float:
        return self.width_mm * self.height_mm * self.thickness_mm / 1000

    @property
    def shelf_cm2(self) -> float:
        """Of a shelf, the room to its neighbours included."""
        across, down = self.footprint_mm
        return (across + GAP_MM) * (down + GAP_MM) / 100


@dataclass(frozen=True, slots=True)
class Totals:
    """What a plan takes. `glaze_g` is wet glaze by glaze and lot, with waste; `cost` is None without any price."""

    tiles: int
    outcomes: int
    clay_kg: float
    glaze_g: Mapping[tuple[str, str], float]
    shelf_cm2: float
    glaze_firings: int
    bisque_firings: int
    days: int
    cost: float | None

    @property
    def firings(self) -> int:
        return self.glaze_firings + self.bisque_firings


@dataclass(frozen=True, slots=True)
class MadeTile:
    """A tile as it will be: its form, and what lies on each glazed zone."""

    form: FormFacts
    coats: Mapping[str, tuple[Coat, ...]]


def totals(
    tiles: Sequence[MadeTile],
    sketch: Sketch,
    *,
    glaze_firings: int,
    shelves: Sequence[ShelfRoom] = (),
    laydown: Mapping[str, float] = MappingProxyType({}),
) -> Totals:
    """Sum up a plan.

    `laydown` is what a coat of a glaze takes [g/cm², wet] as the studio weighed it, by the glaze's level; "" stands for
    all its glazes, and common practice fills in where neither is known.

    Clay is what is cut, glaze what is laid on, both with the plan's waste. Days are those of glazing and of firing, one
    after the other.
    """
    clay_kg = with_waste(
        sum(tile.form.volume_cm3 for tile in tiles) * CLAY_G_PER_CM3 / 1000, sketch.waste_pct
    )
    glaze_g = _glaze_g(tiles, sketch.waste_pct, laydown)
    bisque = _bisque_firings(tiles, shelves) if sketch.bisque and tiles else 0
    working_days = ceil(len(tiles) / sketch.tiles_a_day)
    return Totals(
        len(tiles),
        sum(len(tile.coats) for tile in tiles),
        clay_kg,
        glaze_g,
        sum(tile.form.shelf_cm2 for tile in tiles),
        glaze_firings,
        bisque,
        ceil(working_days + sketch.days_a_firing * (glaze_firings + bisque)),
        _cost(sketch, clay_kg, sum(glaze_g.values()) / 1000, glaze_firings + bisque),
    )


def _glaze_g(
    tiles: Iterable[MadeTile], waste_pct: float, laydown: Mapping[str, float]
) -> dict[tuple[str, str], float]:
    """Wet glaze of each glaze and lot [g]."""
    usual = laydown.get("", WET_G_PER_CM2_COAT)
    laid: Counter[tuple[str, str]] = Counter()
    for tile in tiles:
        areas = {zone.name: zone.area_cm2 for zone in tile.form.zones}
        for name, coats in tile.coats.items():
            for coat in coats:
                coat_g_cm2 = laydown.get(coat.glaze, usual)
                laid[coat.glaze, coat.lot] += wet_g(  # type: ignore[assignment]
                    areas[name], coat.amount, method=coat.method, coat_g_cm2=coat_g_cm2
                )
    return {key: with_waste(mass_g, waste_pct) for key, mass_g in laid.items()}


def _bisque_firings(tiles: Sequence[MadeTile], shelves: Sequence[ShelfRoom]) -> int:
    """Bisque stands as close as glazed tiles here; stacked it takes less."""
    if not (area_cm2 := sum(shelf.area_cm2 for shelf in shelves)):
        return 1
    return ceil(sum(tile.form.shelf_cm2 for tile in tiles) / area_cm2)


def _cost(sketch: Sketch, clay_kg: float, glaze_kg: float, firings: int) -> float | None:
    prices = (sketch.clay_price_kg, sketch.glaze_price_kg, sketch.firing_price)
    if all(price is None for price in prices):
        return None
    return sum((price or 0) * much for price, much in zip(prices, (clay_kg, glaze_kg, firings), strict=True))

"""What the studio knows for reckoning amounts: how heavy each slop is, what a coat takes, what a series lays on."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from tiles.laydown.amounts.reckoning import Slop, slop_for
from tiles.laydown.thickness.queries import wet_of_a_coat
from tiles.models import Coverage, Glaze, GlazeBatch, Series
from tiles.plans.totals import COATS_OF_A_DIP, WET_G_PER_CM2_COAT

# A middling brushing slop (common practice, no source), where no lot of the glaze was ever weighed.
USUAL_GRAVITY = 1.45


@dataclass(frozen=True, slots=True)
class Known:
    """What a coat of each glaze takes here and how heavy its slop is, by the glaze's key."""

    coats: Mapping[int, float]
    gravities: Mapping[int, float]

    def coat(self, glaze: int) -> tuple[float, str]:
        """Wet glaze of a coat [g/cm²] and what that rests on."""
        if glaze in self.coats:
            return self.coats[glaze], "as weighed here"
        if 0 in self.coats:
            return self.coats[0], "as other glazes weighed here"
        return WET_G_PER_CM2_COAT, "common practice; weigh a few tiles to know better"

    def gravity(self, glaze: int) -> tuple[float, str]:
        """The slop's specific gravity and what that rests on."""
        if glaze in self.gravities:
            return self.gravities[glaze], "as its newest lot was weighed last"
        return USUAL_GRAVITY, "a usual brushing slop; nobody weighed this one"


def known(glazes: Collection[int]) -> Known:
    """What is known of these glazes; three queries."""
    return Known(wet_of_a_coat(), _gravities(glazes))


def _gravities(glazes: Collection[int]) -> dict[int, float]:
    found: dict[int, float] = {}
    lots = GlazeBatch.objects.filter(glaze__in=glazes).prefetch_related("readings")
    for lot in lots.order_by("glaze", "-opened_on", "-pk"):
        read = [
            (one.taken_on, one.pk, one.specific_gravity) for one in lot.readings.all() if one.specific_gravity
        ]
        gravity = max(read)[2] if read else lot.specific_gravity
        if gravity:
            found.setdefault(lot.glaze_id, float(gravity))
    return found


@dataclass(frozen=True, slots=True)
class GlazeAmount:
    """What one glaze of a series takes."""

    glaze: Glaze
    slop: Slop
    gravity: float
    rests_on: str


@dataclass(frozen=True, slots=True)
class SeriesAmounts:
    """What the tiles of a series take, those still to glaze where any are."""

    series: Series
    tiles: int
    are_waiting: bool
    glazes: tuple[GlazeAmount, ...]


def series_amounts(series: Series, waste_pct: float) -> SeriesAmounts:
    """Slop for the tiles of a series, glaze by glaze."""
    covers = Coverage.objects.filter(layer__tile__series=series, layer__tile__binned_at__isnull=True)
    rows = list(
        covers.values_list(
            "layer__glaze_id", "zone__area_cm2", "coats", "layer__tile_id", "layer__tile__glazed_on"
        )
    )
    waiting = [row for row in rows if row[4] is None]
    areas: Counter[int] = Counter()
    for glaze, area_cm2, coats, _, _ in waiting or rows:
        areas[glaze] += float(area_cm2) * (coats or COATS_OF_A_DIP)  # type: ignore[assignment]
    here = known(areas)
    glazes = Glaze.everything.in_bulk(areas)
    found = tuple(
        _amount(glazes[key], coated_cm2, here, waste_pct) for key, coated_cm2 in areas.most_common()
    )
    return SeriesAmounts(series, len({row[3] for row in waiting or rows}), bool(waiting), found)


def _amount(glaze: Glaze, coated_cm2: float, here: Known, waste_pct: float) -> GlazeAmount:
    (coat_g, coat_from), (gravity, gravity_from) = here.coat(glaze.pk), here.gravity(glaze.pk)
    slop = slop_for(coated_cm2, 1, coat_g, gravity, waste_pct)
    return GlazeAmount(glaze, slop, gravity, f"A coat {coat_from}; SG {gravity_from}.")

"""What the pages of kilns ask."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Max, Q, QuerySet
from django.utils import timezone

from firings.curves.queries import sparks_of
from firings.heatwork.correction import KilnOffset, counted_offset
from firings.kilns.drift import Drift, drift, reading
from firings.kilns.evenness import Evenness, evenness
from firings.kilns.months import Age, Fired, Month, age_of, by_month
from firings.logbook.cost import energy_cost
from firings.logbook.evidence import by_place, witness_number
from firings.logbook.services import reading_of
from firings.models import Firing, Kiln
from firings.offsets.learning import Pair
from firings.offsets.queries import pairs_of
from firings.vocabulary import FiringState

LAST = 8


def kilns_for_list() -> QuerySet[Kiln]:
    """Kilns with the number of their shelves and firings and the day of the last one."""
    kept = Q(firings__binned_at__isnull=True)
    return Kiln.objects.annotate(
        shelf_count=Count("shelves", distinct=True),
        firing_count=Count("firings", filter=kept, distinct=True),
        last_fired=Max("firings__started_at", filter=kept),
    ).order_by("name")


@dataclass(frozen=True, slots=True)
class Logged:
    """A firing with its curve as a small line, empty where none is kept."""

    firing: Firing
    spark: str


def last_firings(kiln: Kiln) -> list[Logged]:
    """The last firings of a kiln, their curves on one scale."""
    firings = list(Firing.objects.for_lists().filter(kiln=kiln)[:LAST])
    sparks = sparks_of(firings)
    return [Logged(firing, sparks.get(firing.pk, "")) for firing in firings]


@dataclass(frozen=True, slots=True)
class Knowledge:
    """What a kiln's history tells of it; each None or empty where there is nothing to tell."""

    months: list[Month]
    age: Age | None
    firing_count: int
    evenness: Evenness | None
    drifts: list[Drift]
    offset: KilnOffset | None


def knowledge_of(kiln: Kiln) -> Knowledge:
    """All that a kiln's firings tell of it, in three queries."""
    firings = list(
        Firing.objects.select_related("kiln")
        .filter(kiln=kiln, started_at__isnull=False)
        .in_state(FiringState.FIRED, FiringState.UNLOADED)
        .order_by("started_at")
        .prefetch_related("witness_cones__shelf")
    )
    pairs = pairs_of(kiln.pk)
    today = timezone.localdate()
    fired = [_fired(firing) for firing in firings]
    return Knowledge(
        by_month(fired, today),
        age_of(kiln.elements_fitted_on, fired, today),
        len(fired),
        evenness([_by_shelf(firing) for firing in firings]),
        [found for found in (_controller_drift(firings), _curve_drift(pairs)) if found],
        counted_offset([pair.numbers for pair in pairs]),
    )


def _day(firing: Firing) -> date:
    return timezone.localtime(firing.started_at).date()


def _fired(firing: Firing) -> Fired:
    hours = (firing.ended_at - firing.started_at).total_seconds() / 3600 if firing.ended_at else None  # type: ignore[operator]
    cost = firing.cost
    if cost is None:
        cost = energy_cost(firing.energy_kwh, firing.kiln.energy_price_per_kwh)
    return Fired(_day(firing), hours, firing.energy_kwh, cost)


def _by_shelf(firing: Firing) -> dict[int, float]:
    """The decimal cone of each shelf whose cones moved, its places averaged."""
    positions = {cone.shelf_id: cone.shelf.position for cone in firing.witness_cones.all() if cone.shelf}
    found: dict[int, list[float]] = {}
    for (shelf, _), number in by_place(reading_of(cone) for cone in firing.witness_cones.all()).items():
        if shelf in positions:
            found.setdefault(positions[shelf], []).append(float(number))
    return {position: sum(numbers) / len(numbers) for position, numbers in found.items()}


def _controller_drift(firings: Sequence[Firing]) -> Drift | None:
    """The controller against the witness cones, over the firings with both."""
    found = []
    for firing in firings:
        seen = witness_number(reading_of(cone) for cone in firing.witness_cones.all())
        if firing.controller_number is not None and seen is not None:
            found.append(reading(_day(firing), float(firing.controller_number), float(seen)))
    return drift("controller", found)


def _curve_drift(pairs: Sequence[Pair]) -> Drift | None:
    """The logged curve, as its sensor read, against the witness cones."""
    dated = [(pair.moment.at, pair) for pair in pairs]
    return drift(
        "logged curve",
        [reading(timezone.localtime(at).date(), pair.curve, pair.witness) for at, pair in dated if at],
    )

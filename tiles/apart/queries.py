"""The results that are one change apart from one, and the levels that could be planned.

Indexes narrow the search: the same stack (`outcome_by_stack`), the same glaze on top (`outcome_by_top_glaze`), the same
body and cone (`outcome_by_body`). What they find is then judged exactly by `tiles.conditions.apart`.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial, reduce
from operator import or_
from typing import Any, NamedTuple
from urllib.parse import urlencode

from django.db.models import Q, QuerySet
from django.urls import reverse

from firings.cones import series
from firings.models import Firing
from firings.rows.queries import Prepared
from firings.vocabulary import Atmosphere
from tiles.apart.places import candidates_held
from tiles.columns.queries import standing
from tiles.conditions import apart
from tiles.conditions.apart import Condition, Level, Place, Row
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.conditions.queries import conditions_of, stacks_of
from tiles.conditions.stack import stack_key
from tiles.models import ClayBody, GlazeBatch, Outcome, Photo
from tiles.ranges.queries import shown_outcomes
from tiles.search.cards.queries import photos_of
from tiles.search.queries import searchable
from tiles.tray.parts.queries import PhotoPart

# The newest of each kind that are looked at: many more than a page shows, few enough for a phone's patience.
MOST_CANDIDATES = 400
MOST_COMPARED = 8
MOST_BODIES, MOST_LOTS, FEWEST_COATS, MOST_COATS = 8, 6, 3, 8

# Conditions beside the stack, by their columns.
COLUMNS = (
    "body_id",
    "form_id",
    "textured",
    "reached_order",
    "atmosphere",
    "hold_min",
    "kiln_id",
    "firing_count",
)


@dataclass(frozen=True, slots=True)
class Stand:
    """A level as the page shows it: the best result that stands there, how many do, or where to plan one."""

    place: Place
    outcome: Outcome | None
    photo: Photo | PhotoPart | None
    plan: str


@dataclass(frozen=True, slots=True)
class ShownRow:
    """A row of stands; `compare` is the address that lays its results side by side."""

    row: Row
    stands: list[Stand]
    compare: str


@dataclass(frozen=True, slots=True)
class Block:
    """All that is one change apart from a result."""

    outcome: Outcome
    rows: list[ShownRow]

    @property
    def result_count(self) -> int:
        return sum(one.row.result_count for one in self.rows)


@dataclass(frozen=True, slots=True)
class Section:
    """The block of one of a tile's results, and the others one may look at."""

    block: Block
    choices: list[Outcome]

    @property
    def is_over_firings(self) -> bool:
        """Whether the choices come from more than one firing."""
        return len({outcome.firing_id for outcome in self.choices}) > 1


def section(choices: Sequence[Outcome], asked: str, *, may_plan: bool) -> Section | None:
    """The section for a tile's results, which came from `for_display()`: of the one asked for, else the most telling.

    None where none was fired yet.
    """
    fired = [outcome for outcome in choices if outcome.fired_on]
    if not fired:
        return None
    chosen = next((one for one in fired if str(one.pk) == asked), None) or max(fired, key=_tells)
    return Section(one_change_apart(chosen, may_plan=may_plan), fired)


def _tells(outcome: Outcome) -> tuple[Any, ...]:
    """What one looks at first: the last firing, smooth, the most coats, the first such zone."""
    return outcome.firing_count, not outcome.textured, outcome.coats_total, -outcome.zone.position


def _same(outcome: Outcome, but: str = "") -> Q:
    """The same in all conditions beside the stack, or in all but one."""
    same = Q()
    for column in COLUMNS:
        if column != but:
            value = getattr(outcome, column)
            same &= Q(**{f"{column}__isnull": True}) if value is None else Q(**{column: value})
    return same


def _over(outcome: Outcome, layers: Sequence[LayerFacts]) -> Q:
    """The same below and another glaze, or nothing, on top; or one layer more over the whole stack."""
    more = Q(stack_key__startswith=f"{stack_key(layers)}|", layer_count=len(layers) + 1)
    if len(layers) == 1:
        return more
    below = stack_key(layers[:-1])
    instead = Q(stack_key__startswith=f"{below}|", layer_count=len(layers))
    return more | instead | Q(stack_key=below)


def candidates(outcome: Outcome, layers: Sequence[LayerFacts]) -> list[QuerySet[Outcome]]:
    """Three searches that together hold all that is one change apart; each is led by one index."""
    others = searchable().exclude(pk=outcome.pk).order_by("-fired_on", "-pk")
    key = outcome.stack_key
    one_apart = reduce(or_, (_same(outcome, column) for column in COLUMNS))
    near = Q(layer_count__range=(len(layers) - 1, len(layers) + 1))
    return [
        others.filter(one_apart, stack_key=key),
        others.filter(_same(outcome) & near, top_glaze=outcome.top_glaze_id).exclude(stack_key=key),
        others.filter(_same(outcome) & _over(outcome, layers)).exclude(top_glaze=outcome.top_glaze_id),
    ]


FACTS = (
    *("pk", "textured", "body_id", "body__name", "form__name", "reached_order", "atmosphere", "hold_min"),
    *("kiln__name", "firing_count"),
)


def facts_of(found: Iterable[QuerySet[Outcome]]) -> list[tuple[int, Conditions]]:
    """The conditions of what was found, as far as they count for being apart."""
    return _facts([row for one in found for row in one.values(*FACTS)[:MOST_CANDIDATES]])


def _facts(rows: Sequence[dict[str, Any]]) -> list[tuple[int, Conditions]]:
    stacks = stacks_of(row["pk"] for row in rows)
    return [(row["pk"], read_facts(row, stacks[row["pk"]])) for row in rows]


def others_of(outcome: Outcome, layers: Sequence[LayerFacts]) -> list[tuple[int, Conditions]]:
    """What may be one change apart: from the results held in memory, else asked of the database."""
    held = standing()
    if held is None:
        return facts_of(candidates(outcome, layers))
    same = {column: getattr(outcome, column) for column in COLUMNS}
    keys = candidates_held(held, same, outcome.stack_key, outcome.pk, MOST_CANDIDATES)
    rows = {row["pk"]: row for row in Outcome.objects.filter(pk__in=keys).values(*FACTS)}
    return _facts([rows[key] for key in keys if key in rows])


def read_facts(row: Mapping[str, Any], layers: tuple[LayerFacts, ...]) -> Conditions:
    """A row of FACTS as conditions; what does not count for being apart is left empty."""
    return Conditions(
        zone="",
        textured=row["textured"],
        layers=layers,
        body_id=row["body_id"],
        body=row["body__name"],
        form=row["form__name"],
        firing="",
        target_order=None,
        reached_number=None,
        reached_order=row["reached_order"],
        reached_source="",
        atmosphere=row["atmosphere"],
        hold_min=row["hold_min"],
        kiln=row["kiln__name"],
        shelf=None,
        place="",
        fired_on=None,
        firing_count=row["firing_count"],
    )


def one_change_apart(outcome: Outcome, *, may_plan: bool) -> Block:
    """What is one change apart from an outcome that came from `for_display()`; a constant number of queries."""
    mine = conditions_of(outcome)
    others = others_of(outcome, mine.layers) if mine.layers else []
    rows = apart.rows(mine, others, _offered(outcome, mine) if may_plan else None)
    places = [place for row in rows for place in row.places]
    standing_there = _standing_of({outcome.pk, *(key for place in places for key in place.keys)})
    photos = photos_of(standing_there.values(), looked_into=False)
    best = partial(_best, among=standing_there, photos=photos)
    shown = shown_outcomes(filter(None, map(best, places)))
    return Block(outcome, [_shown_row(outcome, row, best, shown, photos) for row in rows])


Photos = Mapping[int, Photo | PhotoPart]


class Standing(NamedTuple):
    """What tells which of the results that stand at one level is the best to show."""

    pk: int
    tile_id: int
    zone_id: int
    placement_id: int
    judged_at: datetime | None
    fired_on: date


# Hundreds may stand there and a page shows a few dozen: only these are read whole.
_STANDING = Prepared(
    lambda among: Outcome.objects.filter(among("pk")).order_by().values_list(*Standing._fields)
)


def _standing_of(keys: Iterable[int]) -> dict[int, Standing]:
    return {row[0]: Standing(*row) for row in _STANDING.rows(keys)}


def _best(place: Place, among: Mapping[int, Standing], photos: Photos) -> int | None:
    """The key of the best to show: judged, with a photo, then the newest."""
    found = (among[key] for key in place.keys if key in among)
    best = max(
        found,
        key=lambda one: (one.judged_at is not None, one.pk in photos, one.fired_on, one.pk),
        default=None,
    )
    return best.pk if best else None


def _shown_row(
    outcome: Outcome,
    row: Row,
    best: Callable[[Place], int | None],
    shown: Mapping[int, Outcome],
    photos: Photos,
) -> ShownRow:
    stands = [_stand(outcome, row, place, shown.get(best(place) or 0), photos) for place in row.places]
    keys = [stand.outcome.pk for stand in stands if stand.outcome]
    return ShownRow(row, stands, compare_address(keys) if len(keys) > 1 else "")


def compare_address(keys: Sequence[int]) -> str:
    """Where results, at most eight, lie side by side."""
    asked = urlencode([("o", key) for key in keys[:MOST_COMPARED]])
    return f"{reverse('tiles:search:results')}compare/?{asked}"


def _stand(outcome: Outcome, row: Row, place: Place, best: Outcome | None, photos: Photos) -> Stand:
    if place.is_this:
        return Stand(place, outcome, photos.get(outcome.pk), "")
    plan = "" if best else plan_address(outcome, row, place.level)
    return Stand(place, best, photos.get(best.pk) if best else None, plan)


def plan_address(outcome: Outcome, row: Row, level: Level) -> str:
    """Where new tiles like this one are made with that level instead."""
    changed: dict[str, object] = {row.condition.value: level.value}
    if row.layer is not None:
        changed |= {"layer": row.layer + 1, "zone": outcome.zone.name}
    elif row.condition is not Condition.CONE and outcome.target_order:
        changed["cone"] = series.label_of(outcome.target_order)
    return f"{reverse('tiles:recording:again', args=[outcome.tile.label])}?{urlencode(changed)}"


def _offered(outcome: Outcome, mine: Conditions) -> dict[Condition, list[Level]]:
    """What the studio could make next: cones of the glaze's range, coats of its label, bodies, atmospheres, lots."""
    heats = set(
        Firing.objects.glazing()
        .filter(target_order__isnull=False)
        .order_by()
        .values_list("target_order", "atmosphere")
        .distinct()
    )
    return {
        Condition.CONE: _cones(outcome, {order for order, _ in heats}),
        Condition.COATS: _coats(outcome, mine),
        Condition.BODY: _bodies(mine),
        Condition.ATMOSPHERE: [
            Level(place, term.label, term.value)
            for place, term in enumerate(Atmosphere)
            if term.value in {atmosphere for _, atmosphere in heats}
        ],
        Condition.LOT: _lots(outcome),
    }


def _cones(outcome: Outcome, fired_to: Iterable[int]) -> list[Level]:
    """Cones the studio fires to within the range the top glaze is meant for; none where its label says none."""
    glaze = outcome.top_glaze
    if glaze is None or glaze.cone_low_order is None:
        return []
    high = glaze.cone_high_order or glaze.cone_low_order
    orders = sorted(order for order in fired_to if glaze.cone_low_order <= order <= high)
    return [Level(order, series.label_of(order), series.label_of(order)) for order in orders]


def _coats(outcome: Outcome, mine: Conditions) -> list[Level]:
    if not mine.layers or mine.layers[-1].coats is None:
        return []
    label = outcome.top_glaze.coats_high if outcome.top_glaze else None
    most = min(max(FEWEST_COATS, label or 0, mine.layers[-1].coats), MOST_COATS)
    return [Level(coats, f"×{coats}", str(coats)) for coats in range(1, most + 1)]


def _bodies(mine: Conditions) -> list[Level]:
    """Bodies that stand this cone, as far as their range is known."""
    stands = Q(cone_high_order__isnull=True) | Q(cone_high_order__gte=mine.reached_order or 0)
    found = ClayBody.objects.filter(stands).by_name().values_list("pk", "name")[:MOST_BODIES]
    return [Level(0, name, str(pk)) for pk, name in found]


def _lots(outcome: Outcome) -> list[Level]:
    found = GlazeBatch.objects.filter(glaze=outcome.top_glaze_id).order_by("-opened_on", "-pk")
    return [Level(0, lot, str(pk)) for pk, lot in found.values_list("pk", "lot")[:MOST_LOTS]]

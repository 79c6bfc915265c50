"""The conditions of outcomes, read twice: from the records that made them, and from the copy that searches read."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Value
from django.db.models.functions import Coalesce
from django.utils import timezone

from firings.models import Firing
from firings.rows.queries import Prepared
from firings.vocabulary import FIRED
from tiles.conditions import stack
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.models import CONDITION_FIELDS, Coverage, Outcome, Placement, StackedLayer, Zone

# The columns by the names the database gives them: body_id, not body.
COLUMNS = tuple(field.attname for field in Outcome._meta.fields if field.name in CONDITION_FIELDS)

CHECKED_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Copy:
    """What an outcome's row says, or should say, of its conditions."""

    columns: dict[str, Any]
    layers: tuple[LayerFacts, ...]


def layer_facts(coverage: Coverage) -> LayerFacts:
    """A layer on a zone; `coverage` comes with its layer, glaze and batch."""
    layer = coverage.layer
    return LayerFacts(
        glaze_id=layer.glaze_id,
        glaze=layer.glaze.name,
        batch_id=layer.batch_id,
        lot=layer.batch.lot if layer.batch else "",
        method=layer.method,
        coats=coverage.coats,
        dip_s=coverage.dip_s,
    )


def layers_by_zone(zone_ids: Iterable[int]) -> dict[int, list[tuple[int, LayerFacts]]]:
    """For each zone its layers bottom to top, each with the number of firings it came after."""
    coverages = (
        Coverage.objects.filter(zone__in=zone_ids)
        .select_related("layer__glaze", "layer__batch")
        .order_by("layer__position")
    )
    by_zone: dict[int, list[tuple[int, LayerFacts]]] = defaultdict(list)
    for coverage in coverages:
        by_zone[coverage.zone_id].append((coverage.layer.after_firings, layer_facts(coverage)))
    return by_zone


def stack_before(layers: Iterable[tuple[int, LayerFacts]], sequence: int) -> tuple[LayerFacts, ...]:
    """The layers that were on the zone when the tile went into its `sequence`-th glaze firing."""
    return tuple(facts for after_firings, facts in layers if after_firings < sequence)


def firing_columns(firing: Firing) -> dict[str, Any]:
    """What a copy says of the firing."""
    is_fired = firing.state in FIRED and firing.started_at is not None
    return {
        "firing_id": firing.pk,
        "target_order": firing.target_order,
        "reached_order": firing.reached_order,
        "reached_number": firing.reached_number,
        "reached_source": firing.reached_source,
        "atmosphere": firing.atmosphere,
        "hold_min": firing.hold_min,
        "kiln_id": firing.kiln_id,
        "fired_on": timezone.localdate(firing.started_at) if is_fired else None,
    }


def stack_columns(layers: Sequence[LayerFacts]) -> dict[str, Any]:
    """What a copy says of the stack."""
    return {
        "stack_key": stack.stack_key(layers),
        "layer_count": len(layers),
        "coats_total": sum(layer.coats or 0 for layer in layers),
        "coats_top": layers[-1].coats if layers else None,
        "method": stack.method_of(layers),
        "top_glaze_id": layers[-1].glaze_id if layers else None,
        "lots": stack.lots_of(layers)[:200],
    }


def truth_of(zone: Zone, placement: Placement, layers: tuple[LayerFacts, ...]) -> Copy:
    """What the copy must say, from the records themselves; `placement` comes with its firing, `zone` with its tile."""
    columns = {
        "tile_id": zone.tile_id,
        "body_id": zone.tile.body_id,
        "form_id": zone.tile.form_id,
        "textured": zone.textured,
        "shelf_id": placement.shelf_id,
        "place": placement.place,
        "firing_count": placement.sequence,
        **firing_columns(placement.firing),
        **stack_columns(layers),
    }
    return Copy({name: columns[name] for name in COLUMNS}, layers)


def truths_of(outcomes: Sequence[Outcome]) -> dict[int, Copy]:
    """For each outcome, by its key, what its copy must say. Three queries whatever their number."""
    rows = Outcome.everything.filter(pk__in=[outcome.pk for outcome in outcomes]).select_related(
        "zone__tile", "placement__firing"
    )
    found = list(rows)
    layers = layers_by_zone({row.zone_id for row in found})
    return {
        row.pk: truth_of(row.zone, row.placement, stack_before(layers[row.zone_id], row.placement.sequence))
        for row in found
    }


def stacked_facts(row: StackedLayer) -> LayerFacts:
    """A layer of the copy; `row` comes with its glaze and batch."""
    return LayerFacts(
        glaze_id=row.glaze_id,
        glaze=row.glaze.name,
        batch_id=row.batch_id,
        lot=row.batch.lot if row.batch else "",
        method=row.method,
        coats=row.coats,
        dip_s=row.dip_s,
    )


_STACKED = Prepared(
    lambda among: (
        StackedLayer.objects.filter(among("outcome_id"))
        .order_by("outcome_id", "position")
        .values_list(
            "outcome_id",
            "glaze_id",
            "glaze__name",
            "batch_id",
            Coalesce("batch__lot", Value("")),
            "method",
            "coats",
            "dip_s",
        )
    )
)


def stacks_of(outcome_ids: Iterable[int]) -> dict[int, tuple[LayerFacts, ...]]:
    """For each outcome, by its key, its layers from the bottom up; one query."""
    wanted = list(outcome_ids)
    stacks: dict[int, list[LayerFacts]] = {key: [] for key in wanted}
    for key, *facts in _STACKED.rows(wanted):
        stacks[key].append(LayerFacts(*facts))
    return {key: tuple(layers) for key, layers in stacks.items()}


def copies_of(outcomes: Sequence[Outcome]) -> dict[int, Copy]:
    """For each outcome, by its key, what its row says now."""
    stacks = stacks_of(outcome.pk for outcome in outcomes)
    return {
        outcome.pk: Copy({name: getattr(outcome, name) for name in COLUMNS}, stacks[outcome.pk])
        for outcome in outcomes
    }


def conditions_of(outcome: Outcome) -> Conditions:
    """The conditions of an outcome that came from `Outcome.objects.for_display()`; asks the database nothing more."""
    return Conditions(
        zone=outcome.zone.name,
        textured=outcome.textured,
        layers=tuple(stacked_facts(row) for row in outcome.stacked.all()),
        body_id=outcome.body_id,
        body=outcome.body.name,
        form=outcome.form.name,
        firing=outcome.firing.label,
        target_order=outcome.target_order,
        reached_number=outcome.reached_number,
        reached_order=outcome.reached_order,
        reached_source=outcome.reached_source,
        atmosphere=outcome.atmosphere,
        hold_min=outcome.hold_min,
        kiln=outcome.kiln.name,
        shelf=outcome.shelf.position if outcome.shelf else None,
        place=outcome.place,
        fired_on=outcome.fired_on,
        firing_count=outcome.firing_count,
    )


def differences(truth: Copy, copy: Copy) -> list[str]:
    """What the copy says and what is true, one line for each that differs."""
    lines = [
        f"{name} is {copy.columns[name]!r}, should be {value!r}"
        for name, value in truth.columns.items()
        if copy.columns[name] != value
    ]
    if truth.layers != copy.layers:
        lines.append(f"layers are {copy.layers}, should be {truth.layers}")
    return lines


def untrue_copies() -> Iterator[tuple[Outcome, list[str]]]:
    """Every outcome, the bin's included, whose copy is not true, with what differs."""
    ids = list(Outcome.everything.order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(ids), CHECKED_AT_ONCE):
        outcomes = list(
            Outcome.everything.filter(pk__in=ids[start : start + CHECKED_AT_ONCE]).select_related(
                "tile", "zone", "firing"
            )
        )
        truths, copies = truths_of(outcomes), copies_of(outcomes)
        for outcome in outcomes:
            if lines := differences(truths[outcome.pk], copies[outcome.pk]):
                yield outcome, lines

"""The one writer of the copy of conditions that an outcome carries.

Every service that changes a layer, a coverage, a tile's body or form, a placement or a firing's facts calls one of
these inside its own transaction, so that no one ever reads a copy that is not true.
"""

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from django.db import transaction

from firings.models import Firing, User
from firings.rows import services as rows
from tiles.conditions.facts import LayerFacts
from tiles.conditions.queries import (
    COLUMNS,
    Copy,
    copies_of,
    firing_columns,
    layers_by_zone,
    stack_before,
    stack_columns,
    truth_of,
    truths_of,
)
from tiles.models import CONDITION_FIELDS, Outcome, Placement, StackedLayer, Zone

# What a copy says beside firing and stack, and what was seen, in the order in which rows give them.
OWN = ("zone_id", "placement_id", "tile_id", "body_id", "form_id", "textured", "place", "firing_count")
SEEN = ("surface", "opacity", "run_mm", "runs_off", "pooling", "breaking", "gloss_gu", "verdict", "remark")
JUDGED = ("judged_by_id", "judged_at", "created_by_id")

# So many rows are read and written at once: well under any database's limit of parameters.
BATCH = 400


@transaction.atomic
def refresh(outcome_ids: Iterable[int]) -> int:
    """Make these outcomes' copies true; returns how many had to change."""
    ids = sorted(set(outcome_ids))
    return sum(_refresh_batch(ids[start : start + BATCH]) for start in range(0, len(ids), BATCH))


def refresh_tiles(tile_ids: Iterable[int]) -> int:
    """After a change to tiles, their layers or coverages."""
    return refresh(Outcome.everything.filter(zone__tile__in=list(tile_ids)).values_list("pk", flat=True))


def refresh_firings(firing_ids: Iterable[int]) -> int:
    """After a change to firings; `firings.listeners` calls it."""
    return refresh(
        Outcome.everything.filter(placement__firing__in=list(firing_ids)).values_list("pk", flat=True)
    )


@transaction.atomic
def make_outcomes(placement_ids: Iterable[int], *, by: User = None) -> list[Outcome]:
    """One unjudged outcome for each glazed zone of each placed tile that has none yet."""
    placements = list(
        Placement.objects.filter(pk__in=list(placement_ids)).select_related("firing", "tile").order_by("pk")
    )
    zones = list(
        Zone.objects.filter(tile__in=[placement.tile_id for placement in placements])
        .select_related("tile")
        .order_by("tile", "position")
    )
    layers = layers_by_zone([zone.pk for zone in zones])
    existing = set(Outcome.everything.filter(placement__in=placements).values_list("zone_id", "placement_id"))
    made: list[tuple[Outcome, tuple[LayerFacts, ...]]] = []
    for placement in placements:
        for zone in zones:
            if zone.tile_id != placement.tile_id or (zone.pk, placement.pk) in existing:
                continue
            if stacked := stack_before(layers[zone.pk], placement.sequence):
                truth = truth_of(zone, placement, stacked)
                made.append(
                    (Outcome(zone=zone, placement=placement, created_by=by, **truth.columns), stacked)
                )
    outcomes = Outcome.everything.bulk_create([outcome for outcome, _ in made], batch_size=BATCH)
    StackedLayer.objects.bulk_create(
        [
            row
            for outcome, stacked in zip(outcomes, (layers for _, layers in made), strict=True)
            for row in _stacked_rows(outcome.pk, stacked)
        ],
        batch_size=BATCH,
    )
    return outcomes


class NewOutcome(NamedTuple):
    """An outcome to lay down with many others: values of OWN, the places of its firing and stack, and what was seen."""

    own: tuple[Any, ...]
    firing: int
    stack: int
    seen: tuple[Any, ...]
    judged: tuple[Any, ...]


@transaction.atomic
def lay_outcomes(
    new: Sequence[NewOutcome], firings: Sequence[Firing], stacks: Sequence[Sequence[LayerFacts]], *, by: User
) -> rows.Keys:
    """Many outcomes with true copies of their conditions at once, where no shelf is known; returns their keys.

    Few firings and stacks occur among many outcomes, so what a copy says of each is worked out once.
    """
    if not new:
        return []
    keys = rows.reserve(Outcome, len(new))
    of_firing = [firing_columns(firing) for firing in firings]
    of_stack = [stack_columns(stack) for stack in stacks]
    names = (*OWN, *of_firing[0], *of_stack[0], *SEEN, *JUDGED)
    told = (
        [tuple(columns.values()) for columns in of_firing],
        [tuple(columns.values()) for columns in of_stack],
    )
    rows.insert(
        Outcome,
        ("id", *names),
        (
            (key, *one.own, *told[0][one.firing], *told[1][one.stack], *one.seen, *one.judged)
            for key, one in zip(keys, new, strict=True)
        ),
    )
    rows.note(Outcome, keys, "+", by=by)
    copied = [_stacked_values(stack) for stack in stacks]
    rows.insert(
        StackedLayer,
        ("outcome_id", *STACKED),
        ((key, *layer) for key, one in zip(keys, new, strict=True) for layer in copied[one.stack]),
    )
    return keys


STACKED = ("position", "glaze_id", "batch_id", "method", "coats", "dip_s", "is_top")


def _stacked_values(layers: Sequence[LayerFacts]) -> list[tuple[Any, ...]]:
    return [
        (position, one.glaze_id, one.batch_id, one.method, one.coats, one.dip_s, position == len(layers))
        for position, one in enumerate(layers, start=1)
    ]


def _refresh_batch(ids: Sequence[int]) -> int:
    outcomes = list(Outcome.everything.filter(pk__in=ids))
    truths, copies = truths_of(outcomes), copies_of(outcomes)
    untrue = [outcome for outcome in outcomes if truths[outcome.pk] != copies[outcome.pk]]
    _write(untrue, truths)
    return len(untrue)


def _write(outcomes: Sequence[Outcome], truths: dict[int, Copy]) -> None:
    for outcome in outcomes:
        for name in COLUMNS:
            setattr(outcome, name, truths[outcome.pk].columns[name])
    Outcome.everything.bulk_update(outcomes, CONDITION_FIELDS, batch_size=100)
    StackedLayer.objects.filter(outcome__in=outcomes).delete()
    rows = [row for outcome in outcomes for row in _stacked_rows(outcome.pk, truths[outcome.pk].layers)]
    StackedLayer.objects.bulk_create(rows, batch_size=BATCH)


def _stacked_rows(outcome_id: int, layers: Sequence[LayerFacts]) -> list[StackedLayer]:
    return [
        StackedLayer(
            outcome_id=outcome_id,
            position=position,
            glaze_id=layer.glaze_id,
            batch_id=layer.batch_id,
            method=layer.method,
            coats=layer.coats,
            dip_s=layer.dip_s,
            is_top=position == len(layers),
        )
        for position, layer in enumerate(layers, start=1)
    ]

"""Plan a firing, change it, move it on, read its cones; the one writer of its reached cone."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Model
from django.utils import timezone
from simple_history.utils import bulk_create_with_history

from firings import listeners
from firings.cones import series
from firings.curves.counting import cone_said
from firings.heatwork.counted import counted_as
from firings.heatwork.reached import Evidence, reached_by
from firings.logbook.evidence import witness_number
from firings.logbook.facts import FiringFacts, WitnessReading
from firings.logbook.states import is_ahead, is_through_the_fire
from firings.models import CannotUndo, Firing, FiringNote, User, WitnessCone
from firings.offsets import services as offsets
from firings.offsets.learning import Moment
from firings.vocabulary import FiringState

# Two people planning at once may be given the same number; the second takes the next one.
TRIES = 5
TAKEN_BACK = (*FiringFacts.__dataclass_fields__, "state", "unloaded_at")


@transaction.atomic
def plan_firing(facts: FiringFacts, *, by: User) -> Firing:
    """Enter a firing in the logbook under the next number."""
    for last in (False,) * (TRIES - 1) + (True,):
        firing = Firing(number=Firing.objects.next_number(), created_by=by, **asdict(facts))
        _sign(firing, by)
        try:
            with transaction.atomic():
                firing.save()
        except IntegrityError:
            if last or not Firing.everything.filter(number=firing.number).exists():
                raise
        else:
            break
    return firing


@transaction.atomic
def change_firing(firing_id: int, stamp: int, facts: FiringFacts, *, by: User) -> Firing:
    """Keep what a person says of a firing now; raises StaleEdit where somebody else changed it meanwhile."""
    firing: Firing = Firing.objects.claim(firing_id, stamp)
    if facts.kiln_id != firing.kiln_id:
        firing.witness_cones.update(shelf=None, x_mm=None, y_mm=None)
    for name, value in asdict(facts).items():
        setattr(firing, name, value)
    _give_the_fire_a_date(firing, None)
    return settle_reached_cone(firing, by=by)


@transaction.atomic
def move_to_state(
    firing_id: int, state: FiringState, *, started_at: datetime | None = None, by: User
) -> Firing:
    """Move a firing on. One that is through the fire has a start: as given, as it stands, or now.

    Where it is in that state already, or past it, nothing is changed: a button pressed twice is pressed once.
    """
    firing: Firing = Firing.objects.select_for_update(of=("self",)).get(pk=firing_id)
    if not is_ahead(state, of=firing.state):
        return firing
    firing.state = state.value
    _give_the_fire_a_date(firing, started_at)
    if state is FiringState.UNLOADED:
        firing.unloaded_at = timezone.now()
    return settle_reached_cone(firing, by=by)


def _give_the_fire_a_date(firing: Firing, started_at: datetime | None) -> None:
    if is_through_the_fire(firing.state):
        firing.started_at = started_at or firing.started_at or timezone.now()


@transaction.atomic
def take_back(firing_id: int, history_id: int, *, by: User) -> Firing:
    """Undo the change that followed this version of the firing; raises CannotUndo if others came after it."""
    firing: Firing = Firing.objects.select_for_update(of=("self",)).get(pk=firing_id)
    before = firing.history.get(history_id=history_id)
    if firing.stamp != before.stamp + 1:
        raise CannotUndo(f"{firing.label} has been changed again since; nothing was undone.")
    for name in TAKEN_BACK:
        setattr(firing, name, getattr(before, name))
    return settle_reached_cone(firing, by=by)


@transaction.atomic
def read_witness_cones(firing_id: int, readings: Sequence[WitnessReading], *, by: User) -> Firing:
    """Keep the witness cones as they are listed: new ones are added, those not listed go."""
    firing: Firing = Firing.objects.select_for_update(of=("self",)).get(pk=firing_id)
    standing = {cone.pk: cone for cone in firing.witness_cones.all()}
    for reading in readings:
        cone = standing.pop(reading.pk, None) if reading.pk else None
        _write_cone(cone or WitnessCone(firing=firing), reading, by)
    for cone in standing.values():
        _sign(cone, by)
        cone.delete()
    return settle_reached_cone(firing, by=by)


def _write_cone(cone: WitnessCone, reading: WitnessReading, by: User) -> None:
    before = None if cone.pk is None else reading_of(cone)
    if before and (before.shelf_id, before.place) != (reading.shelf_id, reading.place):
        cone.x_mm = cone.y_mm = None
    cone.order, cone.shape, cone.shelf_id = reading.order, reading.shape, reading.shelf_id
    cone.place, cone.bend_deg = reading.place, reading.bend_deg
    _sign(cone, by)
    if before != reading:
        cone.save()


def reading_of(cone: WitnessCone) -> WitnessReading:
    """A witness cone as it stands."""
    return WitnessReading(cone.order, cone.shape, cone.shelf_id, cone.place, cone.bend_deg, cone.pk)


def settle_reached_cone(firing: Firing, *, by: User = None) -> Firing:
    """Keep a firing with its reached cone, by the best evidence there is, and let outcomes follow.

    Its curves are made true to it first. What it shows of its kiln's sensor corrects the curves of later firings, which
    follow in the same transaction.
    """
    with transaction.atomic():
        offsets.fit_curves(firing, by=by)
        affected = _stood_in(firing)
        settle_alone(firing, by=by)
        _let_later_ones_follow(affected, by)
    return firing


@transaction.atomic
def let_later_firings_follow(firing: Firing, *, by: User = None) -> None:
    """Correct the curves of later firings by what this one shows, or no longer shows, of its kiln's sensor."""
    _let_later_ones_follow(_stood_in(firing), by)


def _let_later_ones_follow(affected: dict[int, Moment], by: User) -> None:
    for kiln_id, since in affected.items():
        for later in offsets.fit_kiln(kiln_id, since, by=by):
            settle_alone(Firing.objects.select_for_update(of=("self",)).get(pk=later), by=by)


def _stood_in(firing: Firing) -> dict[int, Moment]:
    """The kilns that a change of this firing may tell something of, and from when on: as it is, and as it was."""
    was = firing.history.values_list("kiln_id", "started_at")[:2]
    affected: dict[int, Moment] = {}
    for kiln_id, at in [(firing.kiln_id, firing.started_at), *was]:
        moment = Moment(at, firing.pk)
        affected[kiln_id] = min(affected.get(kiln_id, moment), moment, key=lambda one: one.order)
    return affected


@transaction.atomic
def enter_past_firings(firings: Sequence[Firing], *, by: User) -> None:
    """Enter many firings of earlier days at once, over and unloaded, with the cone they reached; they get their keys.

    Nothing but their target says what cone they reached, so no other firing learns from them.
    """
    for firing in firings:
        firing.state = FiringState.UNLOADED.value
        firing.unloaded_at = firing.started_at
        firing.created_by = by
        _take_reached_cone(firing, _target_alone(firing))
    bulk_create_with_history(list(firings), Firing, batch_size=200, default_user=by)


def _target_alone(firing: Firing) -> Evidence:
    return Evidence(target=series.of_order(firing.target_order).number if firing.target_order else None)


def _take_reached_cone(firing: Firing, evidence: Evidence | None) -> None:
    reached = reached_by(evidence) if evidence else None
    firing.reached_number = reached.number if reached else None
    firing.reached_order = reached.order if reached else None
    firing.reached_source = reached.source.value if reached else ""


def count_anew(rows: Any) -> None:
    """Write the cone that each row counts as where it says another, as rows of an earlier version may.

    One write for each pair of reached and target cone, of which a studio of any size has few.

    Parameters
    ----------
    rows : all firings, or all copies of what they reached, the bin's too; a migration gives those of its own time
    """
    fired = rows.filter(reached_number__isnull=False, target_order__isnull=False)
    for number, target in fired.order_by().values_list("reached_number", "target_order").distinct():
        order = counted_as(number, series.of_order(target).number).order
        alike = rows.filter(reached_number=number, target_order=target)
        alike.exclude(reached_order=order).update(reached_order=order)


def settle_alone(firing: Firing, *, by: User = None) -> Firing:
    """Keep a firing with its reached cone by its evidence as it stands; the only writer of `reached_*`.

    Before the fire there is no reached cone.
    """
    _take_reached_cone(firing, _evidence_of(firing) if is_through_the_fire(firing.state) else None)
    _sign(firing, by)
    with transaction.atomic():
        firing.save()
        listeners.tell([firing.pk])
    return firing


def _sign(record: Model, by: User) -> None:
    """Let history say who, where no request tells it."""
    if by is not None:
        record._history_user = by  # type: ignore[attr-defined]


def _evidence_of(firing: Firing) -> Evidence:
    cones = [reading_of(cone) for cone in firing.witness_cones.all()]
    curve = firing.curves.defer("samples").first()
    target = series.of_order(firing.target_order).number if firing.target_order else None
    return Evidence(
        witness=witness_number(cones),
        curve=cone_said(curve.counted) if curve else None,
        controller=firing.controller_number,
        target=target,
    )


@transaction.atomic
def add_note(firing: Firing, at: datetime, text: str, *, by: User) -> FiringNote:
    """Write down what was seen or done."""
    note = FiringNote(firing=firing, at=at, text=text)
    _sign(note, by)
    note.save()
    return note


@transaction.atomic
def strike_note(note: FiringNote, *, by: User) -> None:
    """Take a note away; its words stay in history."""
    _sign(note, by)
    note.delete()

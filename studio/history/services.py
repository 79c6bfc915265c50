"""Put a record back to how it stood, with all that goes back with it."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any, NamedTuple

from django.db import IntegrityError, models, transaction
from django.db.models import ProtectedError

from firings.logbook.services import settle_reached_cone
from firings.models import Firing, Kept, Programme, User
from firings.programmes.queries import was_fired
from studio.history.queries import PARTS, Part
from tiles.conditions import services as conditions
from tiles.models import GlazeBatch, Outcome, Placement, Tile
from tiles.recording.services import settle_results

# The bin has buttons of its own, and the reached cone is worked out anew.
STAYS = frozenset(
    {"id", "stamp", "created_at", "created_by", "binned_at", "binned_by"}
    | {"reached_number", "reached_order", "reached_source"}
)
# Out of the way of positions that are still taken while layers change places.
ASIDE = 10_000


class CannotRestore(Exception):
    """A record can't be put back; the words are fit for a message."""


@transaction.atomic
def restore(record: Kept, history_id: int, *, by: User, stamp: int | None = None) -> Kept:
    """Put a record back to the version of that key; what stood there until now stays in its history.

    A version lasts from one save of the record to the next, so what belongs to it (a tile's layers and coats, an
    outcome's flaws) goes back to how it stood just before the next save. With `stamp` it is refused when somebody
    changed the record since.

    Raises
    ------
    CannotRestore : no such version, changed since, or something it needs is gone
    """
    model = type(record)
    current = model._base_manager.select_for_update(of=("self",)).get(pk=record.pk)
    if stamp is not None and current.stamp != stamp:
        raise CannotRestore(f"{current} has been changed again since; nothing was put back.")
    version = model.history.filter(id=record.pk, history_id=history_id).first()  # type: ignore[attr-defined]
    if version is None:
        raise CannotRestore(f"There is no such version of {current}.")
    if isinstance(current, Tile) and version.form_id != current.form_id:
        raise CannotRestore(
            "The tile had another form then, with other zones. Change the form by hand first."
        )
    if isinstance(current, Programme) and was_fired(current):
        raise CannotRestore(f"{current} was fired as it stands. Change it: that makes its next version.")
    until = _end_of(version)
    try:
        with transaction.atomic():
            _take(current, version, by)
            for part in PARTS.get(model, ()):
                if part.goes_back:
                    _take_back_part(part, current, until, by)
    except ProtectedError:
        raise CannotRestore(f"{current} cannot go back: what was added since is in use.") from None
    except IntegrityError:
        raise CannotRestore(f"{current} cannot go back: its name or number belongs to another now.") from None
    _settle(current, by)
    return current


class TakenBack(NamedTuple):
    """Records that stand as they did before a change of many, and those left alone: changed or fired since."""

    back: list[Kept]
    left: list[Kept]


@transaction.atomic
def take_back(records: Mapping[int, Kept], *, by: User) -> TakenBack:
    """Put records back to before a change of many in one step; what somebody changed or fired since stays.

    records : by the key of the version that the change wrote
    """
    done = TakenBack([], [])
    # Always in the same order: two people who undo at once wait for each other, and neither for ever.
    for written, record in sorted(records.items(), key=lambda pair: pair[1].pk):
        current = type(record)._base_manager.select_for_update(of=("self",)).get(pk=record.pk)
        before = _version_before(current, written)
        if before and not _was_fired_since(current, written):
            done.back.append(restore(current, before, by=by))
        else:
            done.left.append(current)
    return done


def _version_before(record: Kept, written: int) -> int:
    """The key of the version before the one that was written; 0 where that is not the one that stands."""
    history: Any = type(record).history  # type: ignore[attr-defined]
    newest = history.filter(id=record.pk).order_by("-history_id").values_list("history_id", flat=True)[:2]
    standing, before = [*newest, 0, 0][:2]
    return before if standing == written else 0


def _was_fired_since(record: Kept, written: int) -> bool:
    """Whether a tile was put in a firing after that version was written: what lies on it stays true of its results."""
    if not isinstance(record, Tile):
        return False
    since = Tile.history.filter(history_id=written).values("history_date")[:1]
    put_in = Placement.history.filter(tile_id=record.pk, history_type="+", history_date__gte=since)
    return record.placements.filter(pk__in=put_in.values("id")).exists()


def _end_of(version: Any) -> datetime | None:
    """When the version's record was saved next; None while it is the last."""
    later = type(version).objects.filter(id=version.id, history_id__gt=version.history_id)
    return later.order_by("history_id").values_list("history_date", flat=True).first()


def _take(record: models.Model, version: Any, by: User) -> None:
    """Write a version's facts onto a record and save it."""
    tracked = {field.name for field in version._meta.fields}
    for field in record._meta.concrete_fields:
        if field.name in tracked and field.name not in STAYS:
            _refuse_if_gone(field, getattr(version, field.attname))
            setattr(record, field.attname, getattr(version, field.attname))
    record._history_user = by  # type: ignore[attr-defined]
    record.save()


def _refuse_if_gone(field: Any, value: Any) -> None:
    if field.remote_field is None or value is None:
        return
    if not field.remote_field.model._base_manager.filter(pk=value).exists():
        raise CannotRestore(f"The {field.verbose_name} it had then is gone for good.")


def _take_back_part(part: Part, head: models.Model, until: datetime | None, by: User) -> None:
    """Bring the records that belong to the head to how they stood just before `until`."""
    stood = _stood(part, head, until)
    standing = {record.pk: record for record in _standing(part, head)}
    for key in standing.keys() - stood.keys():
        gone = standing.pop(key)
        gone._history_user = by
        gone.delete()
    _step_aside(part.model, list(standing))
    for key, version in stood.items():
        record = standing.get(key) or part.model(pk=key)
        if record._state.adding or _differs(record, version):
            _take(record, version, by)
        else:
            _step_back(record)


def _standing(part: Part, head: models.Model) -> models.QuerySet[Any]:
    return part.model._base_manager.filter(**{_path(part, head): head.pk})


def _path(part: Part, head: models.Model) -> str:
    """From a part's column to the head: a coverage belongs to a layer, which belongs to the tile."""
    if part.owner is type(head):
        return part.of
    between = next(other for other in PARTS[type(head)] if other.model is part.owner)
    return f"{part.of}__{_path(between, head)}"


def _stood(part: Part, head: models.Model, until: datetime | None) -> dict[int, Any]:
    """The last version before `until` of each of the head's parts that was there then."""
    history = part.model.history  # type: ignore[attr-defined]
    rows = history.filter(**{f"{part.of}__in": _owners(part, head)}).order_by("history_id")
    if until is not None:
        rows = rows.filter(history_date__lt=until)
    last = {row.id: row for row in rows}
    return {key: row for key, row in last.items() if row.history_type != "-"}


def _owners(part: Part, head: models.Model) -> list[int]:
    """The keys of all records a part of this kind may ever have belonged to."""
    if part.owner is type(head):
        return [head.pk]
    between = next(other for other in PARTS[type(head)] if other.model is part.owner)
    history = between.model.history  # type: ignore[attr-defined]
    return list(
        history.filter(**{f"{between.of}__in": _owners(between, head)})
        .values_list("id", flat=True)
        .distinct()
    )


def _step_aside(model: type[models.Model], keys: list[int]) -> None:
    """Free the positions of what is about to be put in another order; no change that history should tell."""
    if any(field.name == "position" for field in model._meta.concrete_fields):
        model._base_manager.filter(pk__in=keys).update(position=models.F("position") + ASIDE)


def _step_back(record: Any) -> None:
    """Back to the position it had in memory before stepping aside."""
    if hasattr(record, "position"):
        type(record)._base_manager.filter(pk=record.pk).update(position=record.position)


def _differs(record: models.Model, version: Any) -> bool:
    tracked = {field.name for field in version._meta.fields}
    return any(
        getattr(record, field.attname) != getattr(version, field.attname)
        for field in record._meta.concrete_fields
        if field.name in tracked and field.name not in STAYS
    )


def _settle(record: Any, by: User) -> None:
    """What is worked out from a record follows it."""
    if settle := SETTLED_BY.get(type(record)):
        settle(record, by)


def _settle_tile(tile: Tile, by: User) -> None:
    settle_results(tile, by=by)


def _settle_firing(firing: Firing, by: User) -> None:
    settle_reached_cone(firing, by=by)


def _settle_batch(batch: GlazeBatch, by: User) -> None:
    conditions.refresh(Outcome.everything.filter(stacked__batch=batch).values_list("pk", flat=True))


SETTLED_BY: dict[type[Kept], Callable[[Any, User], None]] = {
    Tile: _settle_tile,
    Firing: _settle_firing,
    GlazeBatch: _settle_batch,
}

"""Take back what an import made: into the bin, and changed records to how they stood; what was changed since stays."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import reduce
from operator import or_
from typing import Any

from django.apps import apps
from django.db import IntegrityError, connection, models, transaction
from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils import timezone

from firings.models import Curve, Firing, Kiln, WitnessCone
from firings.rows import services as rows
from firings.words import listed
from studio.importing.services import MANY_ROWS, Refused
from studio.models import ImportedRecord, Person, SpreadsheetImport
from studio.vocabulary import ImportState
from tiles.columns import services as columns_in_memory
from tiles.models import (
    BoardSlot,
    ClayBody,
    ColourReading,
    Glaze,
    GlazeBatch,
    Layer,
    Outcome,
    PhotoFiling,
    Placement,
    PublicPage,
    RunReading,
    Tile,
    TileForm,
)

NAMED_AT_MOST = 30
# Not put back from an earlier version: who made it and the bin have ways of their own.
STAYS = ("created_at", "created_by_id", "binned_at", "binned_by_id")
# Tiles first: what they are made of is free once they are gone.
IN_ORDER: tuple[type[models.Model], ...] = (Tile, Firing, Glaze, ClayBody, TileForm, Kiln)


@dataclass(slots=True)
class Undone:
    """What an undo did: how many records of each kind are in the bin, how many stand as before, and what stays."""

    binned: dict[str, int] = field(default_factory=dict)
    put_back: int = 0
    stays: list[str] = field(default_factory=list)
    stay_count: int = 0

    @property
    def words(self) -> str:
        """In a sentence."""
        told = [f"{count:,} {_plural(kind, count)}" for kind, count in self.binned.items() if count]
        said = f"{listed(told)} went into the bin." if told else "Nothing of it is left to undo."
        if self.put_back:
            said = f"{said if told else ''} {self.put_back:,} stand as before.".strip()
        if self.stay_count:
            more = self.stay_count - len(self.stays)
            said += f" Changed or used since, so left: {', '.join(self.stays)}{f' and {more:,} more' if more else ''}."
        return said


def _plural(kind: str, count: int) -> str:
    meta = apps.get_model(kind)._meta
    return str(meta.verbose_name if count == 1 else meta.verbose_name_plural)


@transaction.atomic
def undo(of: SpreadsheetImport, *, by: Person) -> Undone:
    """Put all that an import made in the bin; what it changed stands as before; what somebody changed since stays."""
    fresh = SpreadsheetImport.objects.select_for_update(of=("self",)).get(pk=of.pk)
    if fresh.state not in (ImportState.KEPT.value, ImportState.WORKING.value) or not fresh.kept_at:
        raise Refused(f"{fresh.file_name} is not in the logbook.")
    now = timezone.now()
    undone = Undone()
    pause = connection.vendor == "sqlite" and fresh.records.count() > MANY_ROWS
    if pause:
        columns_in_memory.stop_watching()
    for model in IN_ORDER:
        _undo_kind(fresh, model, now, by, undone)
    if pause:
        columns_in_memory.watch_writes()
    fresh.state, fresh.undone_at, fresh.undone_by, fresh.progress = ImportState.UNDONE.value, now, by, 0
    fresh.trouble = undone.words[:500]
    fresh.save(update_fields=["state", "undone_at", "undone_by", "progress", "trouble"])
    return undone


def _undo_kind(
    of: SpreadsheetImport, model: type[models.Model], now: datetime, by: Person, undone: Undone
) -> None:
    label = model._meta.label_lower
    made = of.records.filter(model=label, before__isnull=True)
    standing = _base(model).filter(binned_at__isnull=True, pk__in=made.values("record_id"))
    stamp = ImportedRecord.objects.filter(made_in=of, model=label, record_id=OuterRef("pk")).values("stamp")[
        :1
    ]
    marked = standing.annotate(left_at=stamp)
    stays = marked.filter(~Q(stamp=F("left_at")) | _is_used(model, of))
    _name_what_stays(stays, undone)
    keys = list(marked.exclude(pk__in=stays.values("pk")).order_by("pk").values_list("pk", flat=True))
    rows.change(model, keys, {"binned_at": now, "binned_by_id": by.pk}, by=by)
    if keys:
        undone.binned[label] = len(keys)
    _put_back_changed(of, model, by, undone)


def _name_what_stays(stays: QuerySet[Any], undone: Undone) -> None:
    count = stays.count()
    undone.stay_count += count
    left = NAMED_AT_MOST - len(undone.stays)
    undone.stays += [str(record) for record in stays[:left]] if count and left > 0 else []


def _put_back_changed(of: SpreadsheetImport, model: type[models.Model], by: Person, undone: Undone) -> None:
    """Records the import changed stand as before, where nobody changed them since."""
    changed = of.records.filter(model=model._meta.label_lower, before__isnull=False)
    told = {one.record_id: one for one in changed}
    if not told:
        return
    now = dict(_base(model).filter(pk__in=of.records.values("record_id")).values_list("pk", "stamp"))
    keys = [key for key, one in told.items() if now.get(key) == one.stamp]
    stays = now.keys() & told.keys() - set(keys)
    _name_what_stays(_base(model).filter(pk__in=stays), undone)
    versions = [before for key in keys if (before := told[key].before)]
    rows.put_back(model, versions, keys, STAYS, by=by)
    undone.put_back += len(keys)


def _base(model: type[models.Model]) -> QuerySet[Any]:
    return model._base_manager.all()


def _is_used(model: type[models.Model], of: SpreadsheetImport) -> Q:
    """Whether somebody built on a record that the import made."""
    if model is Tile:
        return _tile_lived_on(of)
    if model is Firing:
        there = Placement.objects.filter(firing=OuterRef("pk"), tile__binned_at__isnull=True)
        bisque = Tile.objects.filter(bisque_firing=OuterRef("pk"))
        curve, cone = (
            Curve.objects.filter(firing=OuterRef("pk")),
            WitnessCone.objects.filter(firing=OuterRef("pk")),
        )
        return _any_of(there, bisque, curve, cone)
    if model is Glaze:
        laid = Layer.objects.filter(glaze=OuterRef("pk"), tile__binned_at__isnull=True)
        return _any_of(laid, GlazeBatch.objects.filter(glaze=OuterRef("pk")))
    if model is Kiln:
        return Q(Exists(Firing.objects.filter(kiln=OuterRef("pk"))))
    of_tile = {"body": OuterRef("pk")} if model is ClayBody else {"form": OuterRef("pk")}
    return Q(Exists(Tile.objects.filter(**of_tile)))


def _any_of(*asked: QuerySet[Any]) -> Q:
    """Whether any of these finds something."""
    return reduce(or_, (Q(Exists(one)) for one in asked))


def _tile_lived_on(of: SpreadsheetImport) -> Q:
    """Judged again, glazed, fired, photographed, measured or hung on a board since the import."""
    pk = OuterRef("pk")
    judged = Outcome.everything.filter(tile=pk, stamp__gt=1)
    since: dict[str, Any] = {"history_date__gt": of.kept_at}
    fired = Placement.history.filter(tile_id=pk, **since)
    laid = Layer.history.filter(tile_id=pk, **since)
    shown = [model._base_manager.filter(tile=pk) for model in (PhotoFiling, BoardSlot, PublicPage)]
    measured = [model._base_manager.filter(outcome__tile=pk) for model in (ColourReading, RunReading)]
    # Flaws and coverages change together with their outcome or tile, whose stamp tells.
    return _any_of(judged, fired, laid, *shown, *measured)


@transaction.atomic
def put_back(of: SpreadsheetImport, *, by: Person) -> int:
    """Take out of the bin what the undo put there; how many records that is."""
    fresh = SpreadsheetImport.objects.select_for_update(of=("self",)).get(pk=of.pk)
    if not may_put_back(fresh):
        raise Refused("This undo cannot be taken back. Bring the file in again.")
    count = 0
    try:
        with transaction.atomic():
            for model in reversed(IN_ORDER):
                count += _unbin(fresh, model, by)
    except IntegrityError:
        raise Refused(
            "It cannot be put back: a name of it belongs to another record now. Give that one another name first."
        ) from None
    fresh.state, fresh.undone_at, fresh.undone_by, fresh.trouble = ImportState.KEPT.value, None, None, ""
    fresh.kept_at = timezone.now()
    fresh.save(update_fields=["state", "undone_at", "undone_by", "trouble", "kept_at"])
    return count


def may_put_back(of: SpreadsheetImport) -> bool:
    """Whether an undo can be undone: nothing that stood before was changed by the import."""
    return of.state == ImportState.UNDONE.value and not of.records.filter(before__isnull=False).exists()


def _unbin(of: SpreadsheetImport, model: type[models.Model], by: Person) -> int:
    made = of.records.filter(model=model._meta.label_lower)
    binned = _base(model).filter(binned_at=of.undone_at, pk__in=made.values("record_id"))
    keys: Sequence[int] = list(binned.order_by("pk").values_list("pk", flat=True))
    rows.change(model, keys, {"binned_at": None, "binned_by_id": None}, by=by)
    for start in range(0, len(keys), rows.KEYS_AT_ONCE):
        made.filter(record_id__in=keys[start : start + rows.KEYS_AT_ONCE]).update(stamp=F("stamp") + 2)
    return len(keys)

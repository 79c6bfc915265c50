"""Versions of records read from the log and put in words."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.db import models
from django.utils import timezone

from firings.cones import series
from firings.models import Firing, FiringNote, Kept, Kiln, Programme, Segment, Shelf, User, WitnessCone
from studio.history.changes import Change, Version, changes
from tiles.conditions.line import date_words
from tiles.models import (
    AbsorptionPiece,
    AbsorptionTest,
    Board,
    BoardSlot,
    CoatLaid,
    Coverage,
    Flaw,
    Layer,
    LeachFigure,
    LeachReport,
    Outcome,
    PhotoFiling,
    Placement,
    Tile,
)
from tiles.vocabulary import Element, FlawKind

SHOWN_AT_MOST = 400
# Bookkeeping of the log itself: told by who, when and the bin, not as facts of the record.
BOOKKEEPING = frozenset(
    {"id", "stamp", "created_at", "created_by", "binned_at", "binned_by", "judged_by", "judged_at"}
    | {
        "filed_at",
        "filed_by",
        "laid_at",
        "laid_by",
        "stored_at",
        "stored_by",
        "plan",
        "rule",
        "region",
        "sha256",
        "reached_order",
    }
)
# What says which record it is stands in its title.
IN_TITLE = {
    Layer: {"tile"},
    Coverage: {"layer", "zone"},
    CoatLaid: {"layer", "number"},
    Placement: {"tile", "firing", "sequence"},
    Outcome: {"zone", "placement"},
    Flaw: {"outcome", "kind"},
    PhotoFiling: {"tile", "photo"},
    FiringNote: {"firing"},
    WitnessCone: {"firing"},
    Shelf: {"kiln"},
    Segment: {"programme"},
    BoardSlot: {"board"},
    AbsorptionPiece: {"test", "position"},
    LeachFigure: {"report", "position", "element"},
}


# What a title tells already of a record that is new.
IMPLIED = {
    Tile: {"number"},
    Firing: {"number"},
    Layer: {"glaze", "position"},
    WitnessCone: {"order"},
    Shelf: {"position"},
    Segment: {"position", "rate_c_per_h", "target_c", "hold_min"},
    BoardSlot: {"row", "column"},
    PhotoFiling: {"filed_how"},
}
# Where the column's name is not what a potter says.
LABELS = {
    (Layer, "batch"): "lot",
    (Layer, "after_firings"): "after firing",
    (PhotoFiling, "placement"): "after",
    (Outcome, "runs_off"): "ran off the foot",
}
# What happened to a record, by what was done: made, changed, removed.
PHRASES = {
    Layer: {"+": "{} put on", "-": "{} taken off"},
    Coverage: {"+": "{}", "-": "{} taken off"},
    CoatLaid: {"+": "{} put on", "-": "{} taken back"},
    Placement: {"+": "loaded into {}", "~": "in {}", "-": "taken out of {}"},
    Flaw: {"+": "{} seen", "-": "{} no longer noted"},
    PhotoFiling: {"+": "{} filed", "-": "{} taken off"},
}
PLAIN_PHRASES = {"+": "{} added", "~": "{}", "-": "{} removed"}


@dataclass(frozen=True, slots=True)
class Part:
    """Records that belong to another by the column `of`; those that `go_back` are put back together with it."""

    model: type[models.Model]
    of: str
    owner: type[models.Model]
    goes_back: bool = False


PARTS: dict[type[models.Model], tuple[Part, ...]] = {
    Tile: (
        Part(Layer, "tile", Tile, goes_back=True),
        Part(Coverage, "layer", Layer, goes_back=True),
        Part(CoatLaid, "layer", Layer, goes_back=True),
        Part(Placement, "tile", Tile),
        Part(Outcome, "placement", Placement),
        Part(Flaw, "outcome", Outcome),
        Part(PhotoFiling, "tile", Tile),
    ),
    Outcome: (Part(Flaw, "outcome", Outcome, goes_back=True),),
    Firing: (
        Part(WitnessCone, "firing", Firing),
        Part(FiringNote, "firing", Firing),
        Part(Placement, "firing", Firing),
    ),
    Kiln: (Part(Shelf, "kiln", Kiln, goes_back=True),),
    Programme: (Part(Segment, "programme", Programme, goes_back=True),),
    Board: (Part(BoardSlot, "board", Board),),
    AbsorptionTest: (Part(AbsorptionPiece, "test", AbsorptionTest, goes_back=True),),
    LeachReport: (Part(LeachFigure, "report", LeachReport, goes_back=True),),
}

Rows = dict[type[models.Model], list[Any]]
Names = dict[type[models.Model], dict[int, str]]


def kept_models() -> list[type[Kept]]:
    """Every kind of record that has a bin."""
    return [model for model in apps.get_models() if issubclass(model, Kept)]


def kept_model(app_label: str, name: str) -> type[Kept] | None:
    """The kind of record of that name, None where there is none with a bin."""
    return next(
        (model for model in kept_models() if model._meta.label_lower == f"{app_label}.{name}".lower()), None
    )


def may(user: User, action: str, model: type[models.Model]) -> bool:
    """Whether a person may view or change records of a kind."""
    return bool(user.has_perm(f"{model._meta.app_label}.{action}_{model._meta.model_name}"))


def may_change(user: User, record: Kept) -> bool:
    """Whether a person may change this very record."""
    kind = type(record)
    return (
        may(user, "change", kind)
        and kind._base_manager.filter(kind.changeable_by(user), pk=record.pk).exists()
    )


def history_rows(record: models.Model) -> Rows:
    """The rows of a record's history and of all that belongs to it, removed ones too; one query for each kind."""
    head = type(record)
    rows: Rows = {head: _rows(head, id=record.pk)}
    for part in PARTS.get(head, ()):
        owners = {record.pk} if part.owner is head else {row.id for row in rows[part.owner]}
        rows[part.model] = _rows(part.model, **{f"{part.of}__in": owners})
    return rows


def _rows(model: Any, **of: Any) -> list[Any]:
    """The newest rows, oldest first: as they were written, whatever the clock said then."""
    newest = model.history.filter(**of).select_related("history_user").order_by("-history_id")
    return list(newest[:SHOWN_AT_MOST])[::-1]


def changes_of(record: models.Model) -> list[Change]:
    """All that happened to a record and what belongs to it, newest first, in words."""
    rows = history_rows(record)
    names = _names_in(rows)
    titles = _Titles(rows, names)
    versions = [_version(model, row, names, titles) for model, found in rows.items() for row in found]
    return changes(versions)


def _version(model: type[models.Model], row: Any, names: Names, titles: "_Titles") -> Version:
    return Version(
        record=(model._meta.model_name or "", row.id),
        title=_phrase(model, row, titles),
        at=row.history_date,
        who=str(row.history_user or ""),
        kind=row.history_type,
        values=dict(_facts(model, row, names)),
        is_binned=getattr(row, "binned_at", None) is not None,
        back=row.history_id if issubclass(model, Kept) else 0,
        implied=frozenset(_label(model, model._meta.get_field(name)) for name in IMPLIED.get(model, ())),
    )


def _phrase(model: type[models.Model], row: Any, titles: "_Titles") -> str:
    """What happened to what; of the record whose history it is, only that it was made."""
    if title := titles.of(model, row):
        return (PLAIN_PHRASES | PHRASES.get(model, {}))[row.history_type].format(title)
    return f"{model._meta.verbose_name} made".capitalize() if row.history_type == "+" else ""


def _label(model: type[models.Model], field: Any) -> str:
    return LABELS.get((model, field.name), str(field.verbose_name))


def _facts(model: type[models.Model], row: Any, names: Names) -> Iterator[tuple[str, str]]:
    for field in _told_fields(model, row):
        yield _label(model, field), value_words(field, getattr(row, field.attname), names)


def _told_fields(model: type[models.Model], row: Any) -> list[Any]:
    known = {field.name for field in row._meta.fields}
    hidden = BOOKKEEPING | IN_TITLE.get(model, set())
    return [field for field in model._meta.concrete_fields if field.name in known - hidden]


def value_words(field: Any, value: Any, names: Names) -> str:
    """A value as people read it; nothing reads as an empty word."""
    if value is None or value == "":
        return ""
    if field.remote_field is not None:
        return names.get(field.remote_field.model, {}).get(value, "one that is gone")
    if field.flatchoices:
        return str(dict(field.flatchoices).get(value, value))
    if field.name == "order" or field.name.endswith("_order"):
        return series.label_of(value)
    return _plain_words(value)


def _plain_words(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        moment = timezone.localtime(value)
        return f"{date_words(moment.date())}, {moment:%H:%M}"
    if isinstance(value, date):
        return date_words(value)
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _names_in(rows: Rows) -> Names:
    """The words of every record that these rows point at, the bin included; one query for each kind."""
    keys: dict[type[models.Model], set[int]] = defaultdict(set)
    for model, found in rows.items():
        for field in model._meta.concrete_fields:
            if field.remote_field is not None and field.remote_field.model not in (Placement, Outcome, Layer):
                keys[field.remote_field.model].update(_pointed_at(field, found))
    names = {
        kind: {record.pk: str(record) for record in _named(kind, pks)} for kind, pks in keys.items() if pks
    }
    firings = names.get(Firing, {})
    names[Placement] = {
        row.id: firings[row.firing_id] for row in rows.get(Placement, ()) if row.firing_id in firings
    }
    return names


def _pointed_at(field: Any, rows: Iterable[Any]) -> Iterator[int]:
    return (key for row in rows if (key := getattr(row, field.attname, None)))


def _named(model: type[models.Model], keys: Iterable[int]) -> models.QuerySet[Any]:
    return model._base_manager.filter(pk__in=keys)


class _Titles:
    """What a record is, in words, from the rows and names at hand."""

    def __init__(self, rows: Rows, names: Names) -> None:
        self.names = names
        self.glaze_of = {row.id: row.glaze_id for row in rows.get(Layer, ())}
        self.firing_of = {row.id: row.firing_id for row in rows.get(Placement, ())}
        self.outcome_of = {row.id: (row.zone_id, row.placement_id) for row in rows.get(Outcome, ())}
        self.by_model: dict[type[models.Model], Callable[[Any], str]] = {
            Layer: lambda row: f"{self._name(Layer, 'glaze', row.glaze_id)} as layer {row.position}",
            Coverage: self._coverage,
            CoatLaid: self._coat,
            Placement: lambda row: self._name(Placement, "firing", row.firing_id),
            Outcome: lambda row: self._result(row.zone_id, row.placement_id),
            Flaw: self._flaw,
            PhotoFiling: lambda row: f"photo {self._name(PhotoFiling, 'photo', row.photo_id)}",
            WitnessCone: lambda row: f"witness cone {series.label_of(row.order)}",
            FiringNote: lambda row: "note",
            Shelf: lambda row: f"shelf {row.position}",
            BoardSlot: lambda row: f"row {row.row}, column {row.column}",
            LeachFigure: lambda row: Element.label_of(row.element),
            AbsorptionPiece: lambda row: f"piece {row.position}",
        }

    def of(self, model: type[models.Model], row: Any) -> str:
        """The title of a record that belongs to another; that of the head itself is empty."""
        return self.by_model.get(model, lambda _: "")(row)

    def _name(self, model: type[models.Model], column: str, key: int | None) -> str:
        return value_words(model._meta.get_field(column), key, self.names)

    def _coverage(self, row: Any) -> str:
        glaze = self._name(Layer, "glaze", self.glaze_of.get(row.layer_id))
        return f"{glaze} on {self._name(Coverage, 'zone', row.zone_id)}"

    def _coat(self, row: Any) -> str:
        return f"coat {row.number} of {self._name(Layer, 'glaze', self.glaze_of.get(row.layer_id))}"

    def _flaw(self, row: Any) -> str:
        kind = FlawKind.label_of(row.kind)
        found = self.outcome_of.get(row.outcome_id)
        return f"{kind} on {self._result(*found)}" if found else kind

    def _result(self, zone_id: int, placement_id: int) -> str:
        zone = self._name(Outcome, "zone", zone_id)
        firing = self._name(Placement, "firing", self.firing_of.get(placement_id))
        return f"{zone} after {firing}" if firing else zone

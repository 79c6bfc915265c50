"""Glazes or clay bodies by their names: what a sheet makes of them, and writing it."""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.forms.utils import ErrorDict

from firings.cones.forms import ConeField
from firings.forms import KeptForm
from firings.models import StaleEdit
from firings.rows import services as rows
from studio.importing.cells import ALSO as ALSO_WRITTEN
from studio.importing.cells import NO, YES, Misread, coats, coats_span, cone_span, minutes, nearest, percent
from studio.importing.fields import ALSO, BODIES, GLAZES, RANGES, Field
from studio.importing.names import folded, joined_to
from studio.importing.reading import bare
from studio.importing.report import Message, Report
from studio.importing.sheet import Sheet
from studio.models import Person
from tiles.catalogue.forms import ClayBodyForm, GlazeForm
from tiles.vocabulary import Opacity, Surface

FORMS: dict[str, type[KeptForm]] = {GLAZES: GlazeForm, BODIES: ClayBodyForm}
MISSING = object()
# Columns whose words people write in other ways too: clear, gloss.
WORDED = {"surface": ALSO_WRITTEN[Surface], "opacity": ALSO_WRITTEN[Opacity]}
# How the cells of a range are read.
SPANS: dict[str, Callable[[str], tuple[int, int]]] = {"cones": cone_span, "coats": coats_span}
# How cells are read that may have their unit with them, by the form's field; the unit is the one in the heading.
MEASURED: dict[str, Callable[[str, str], object]] = {
    "drying_min": lambda cell, unit: minutes(cell, unit or "min"),
    "default_hold_min": lambda cell, unit: minutes(cell, unit or "min"),
    "absorption_pct": lambda cell, unit: percent(cell),
    "shrinkage_pct": lambda cell, unit: percent(cell),
    "coats_low": lambda cell, unit: coats(cell),
    "coats_high": lambda cell, unit: coats(cell),
}


@dataclass(slots=True)
class Reckoned:
    """What a sheet comes to: values of new records in the order of `names`, changes of standing ones by their keys.

    joined, taken : names that were said to be another of the sheet's, and a record's by its key
    """

    model: type[models.Model]
    names: tuple[str, ...]
    new: list[tuple[Any, ...]] = field(default_factory=list)
    changes: dict[int, dict[str, Any]] = field(default_factory=dict)
    stamps: dict[int, int] = field(default_factory=dict)
    report: Report = field(default_factory=Report)
    joined: list[tuple[str, str]] = field(default_factory=list)
    taken: list[tuple[str, int]] = field(default_factory=list)


def fields_of(kind: str) -> tuple[Field, ...]:
    """What columns of such a sheet may hold: what the catalogue's own form asks for, and ranges of it in one column."""
    asked = FORMS[kind]().fields
    single = tuple(
        Field(name, str(one.label or name.replace("_", " ")), (name, *ALSO.get(name, ())))
        for name, one in asked.items()
        if name != "stamp"
    )
    return (*single, *(one for one in RANGES if asked.keys() >= set(one.ends)))


def reckoned(
    kind: str,
    sheet: Sheet,
    taken_for: Mapping[str, int] | None = None,
    joined: Mapping[str, str] | None = None,
) -> Reckoned:
    """What a sheet comes to; what is empty or not there changes nothing.

    taken_for, joined : by folded name the key of the record it is, or the other name of the sheet it is
    """
    return _Reckoning(kind, sheet, taken_for or {}, joined or {}).done()


class _Reckoning:
    """One pass over a sheet. The form is made once; its fields read each distinct cell once, its rules each row."""

    def __init__(
        self, kind: str, sheet: Sheet, taken_for: Mapping[str, int], joined: Mapping[str, str]
    ) -> None:
        self.sheet, self.taken_for, self.joined = sheet, taken_for, joined
        self.form = FORMS[kind]()
        # Names are told apart here, all at once.
        self.form.once = ()
        self.model: type[models.Model] = self.form._meta.model
        self.names = tuple(name for name in self.form.fields if name != "stamp")
        self.default = {name: self.model._meta.get_field(name).get_default() for name in self.names}
        self.found = Reckoned(self.model, self.names)
        # What may contradict: figures, cones and choices, not free words. Rows often agree in all of these.
        free = (forms.CharField,)
        self.bound = tuple(name for name in self.names if not isinstance(self.form.fields[name], free))
        self.agreed: set[tuple[Any, ...]] = set()
        self.standing = self._standing()
        self.by_key = {record["pk"]: record for record in self.standing.values()}
        # In which row each name was met first, and how many rows were left out as another's.
        self.seen: dict[str, int] = {}
        self.left_out = 0

    def done(self) -> Reckoned:
        columns = self._ranges() | {
            name: self._values(name) for name in self.names if name in self.sheet.cells
        }
        names = self.sheet.cells.get("name") or [""] * len(self.sheet)
        new: list[str] = []
        for at, written in enumerate(names):
            if (meant := self._meant(at, written)) is None:
                continue
            name, record = meant
            given = {
                field: value for field, column in columns.items() if (value := column[at]) is not MISSING
            }
            given.pop("name", None)
            if record is not None:
                self._change(at, name, record, given)
            elif self._agrees(at, made := self.default | given | {"name": name}):
                new.append(name)
                self.found.new.append(tuple(made[one] for one in self.names))
        report = self.found.report
        report.new = {"record": new} if new else {}
        report.counts = {"rows": len(self.sheet)}
        report.hear(self.sheet.messages)
        known = len(names) - self.left_out - len(new) - len(report.changed)
        report.unchanged = known if report.is_clean else 0
        return self.found

    def _meant(self, at: int, name: str) -> tuple[str, dict[str, Any] | None] | None:
        """The name a row goes by and the record that has it; None where the row is left out or to mend."""
        key = folded(name)
        if not key:
            self.sheet.say(at, "name", "Write its name: that is how it is known.")
            return None
        record = self.standing.get(key)
        if record is None and (other := joined_to(key, self.joined)):
            self.found.joined.append((name, other))
            if (earlier := self.seen.get(folded(other))) is not None:
                words = (
                    f"“{name}” is “{other}” of row {self.sheet.numbers[earlier]}, so this row is left out."
                )
                self.sheet.say(at, "name", words, stops=False)
                self.left_out += 1
                return None
            name, key = other, folded(other)
            record = self.standing.get(key)
        elif record is None and (record := self.by_key.get(self.taken_for.get(key, 0))):
            self.found.taken.append((name, record["pk"]))
            key = folded(record["name"])
        if (earlier := self.seen.setdefault(key, at)) != at:
            words = f"“{name}” stands in row {self.sheet.numbers[earlier]} already. Keep one of the two."
            self.sheet.say(at, "name", words)
            return None
        return name, record

    def _standing(self) -> dict[str, dict[str, Any]]:
        rows_ = self.model.objects.values("pk", "stamp", *self.names)  # type: ignore[attr-defined]
        return {folded(row["name"]): row for row in rows_.iterator(chunk_size=2000)}

    def _change(self, at: int, name: str, record: Mapping[str, Any], given: dict[str, Any]) -> None:
        changed = {field: value for field, value in given.items() if record[field] != value}
        if not changed:
            return
        if self._agrees(at, {one: record[one] for one in self.names} | changed):
            self.found.changes[record["pk"]] = changed
            self.found.stamps[record["pk"]] = record["stamp"]
            self.found.report.changed.append(name)

    def _ranges(self) -> dict[str, list[Any]]:
        """What columns of ranges say, as the two columns of their ends; one that a sheet has itself goes before."""
        found: dict[str, list[Any]] = {}
        for of in RANGES:
            if of.key in self.sheet.cells:
                spans = self.sheet.values(of.key, SPANS[of.key], (MISSING, MISSING))
                found |= {key: [span[end] for span in spans] for end, key in enumerate(of.ends)}
        return found

    def _values(self, name: str) -> list[Any]:
        """A column's values; MISSING where nothing is said, or where it was said what is wrong."""
        field, read = self.form.fields[name], self._reader(name)
        known: dict[str, Any] = {"": MISSING}
        column = self.sheet.cells[name]
        wrong: dict[str, str] = {}
        for cell in set(column) - {""}:
            try:
                known[cell] = read(cell)
            except ValidationError as trouble:
                known[cell] = MISSING
                wrong[cell] = " ".join(trouble.messages) + _offer(field, cell)
        of = self.sheet.columns[name]
        for at, cell in enumerate(column if wrong else ()):
            if words := wrong.get(cell):
                self.sheet.messages.append(Message(self.sheet.numbers[at], of.name, words, cell, of.place))
                self.sheet.spoiled.add(at)
        return [known[cell] for cell in column]

    def _reader(self, name: str) -> Callable[[str], Any]:
        field, column = self.form.fields[name], self.model._meta.get_field(name)

        unit = self.sheet.columns[name].unit

        def read(cell: str) -> Any:
            if isinstance(field, forms.BooleanField) and bare(cell) not in (*YES, *NO):
                raise ValidationError(f"“{cell}” is neither yes nor no.")
            value = field.clean(_without_unit(name, _as_typed(field, cell, WORDED.get(name, {})), unit))
            if value not in (None, ""):
                column.run_validators(value)  # type: ignore[union-attr]
            return value

        return read

    def _agrees(self, at: int, merged: dict[str, Any]) -> bool:
        """Whether a row's values agree with one another, by the form's own rules; else it is said."""
        if at in self.sheet.spoiled:
            return False
        told = tuple(merged[name] for name in self.bound)
        if told in self.agreed:
            return True
        form: Any = self.form
        form.cleaned_data, form._errors = dict(merged), ErrorDict()
        form.clean()
        for name, said in form._errors.items():
            for words in said:
                self.sheet.say(at, name, str(words))
        if not form._errors:
            self.agreed.add(told)
        return not form._errors


def _as_typed(field: forms.Field, cell: str, also: Mapping[str, str]) -> object:
    """A cell as the form wants it: a choice by its words or those `also` known, yes and no, a bare cone."""
    if isinstance(field, forms.BooleanField):
        return bare(cell) in YES
    if isinstance(field, ConeField):
        return cell.casefold().removeprefix("cone").strip()
    return ({**also} | _choices(field)).get(bare(cell), cell)


def _without_unit(name: str, cell: object, unit: str) -> object:
    """A figure with its unit as the bare figure that the form asks for; other fields' cells as they are.

    Raises
    ------
    ValidationError : the unit is none of this field's
    """
    if name not in MEASURED or not isinstance(cell, str) or not cell.strip():
        return cell
    try:
        return str(MEASURED[name](cell, unit))
    except Misread as trouble:
        raise ValidationError(str(trouble)) from None


def _choices(field: forms.Field) -> dict[str, str]:
    """A field's choices by their words."""
    return {bare(word): value for value, words in _pairs(field) for word in (value, words)}


def _pairs(field: forms.Field) -> list[tuple[str, str]]:
    """What a field lets one choose: what is stored, and its words."""
    choices: Any = field.choices if isinstance(field, forms.ChoiceField) else ()
    return [(str(value), str(words)) for value, words in choices if value]


def _offer(field: forms.Field, cell: str) -> str:
    """What was perhaps meant, or what there is to choose from."""
    words = [words for _, words in _pairs(field)]
    if not words or not cell:
        return ""
    near = nearest(cell, words)
    return f" Is it “{near}”?" if near else f" Take one of: {', '.join(words)}."


@dataclass(frozen=True, slots=True)
class Written:
    """Keys of what was made, and of what was changed with the version each had before."""

    made: rows.Keys
    changed: Sequence[int]
    before: Mapping[int, int]


def write(found: Reckoned, *, by: Person) -> Written:
    """Write new records and changes, with their history.

    Raises
    ------
    StaleEdit : somebody changed one of them since the sheet was compared with it
    """
    keys = rows.reserve(found.model, len(found.new))
    rows.insert(
        found.model,
        ("id", *found.names, "created_by_id"),
        ((key, *values, by.pk) for key, values in zip(keys, found.new, strict=True)),
    )
    rows.note(found.model, keys, "+", by=by)
    changed = list(found.changes)
    before = rows.latest_versions(found.model, changed)
    if unwritten := [key for key in changed if key not in before]:
        # Laid down in bulk without a history: it begins with how they stood.
        rows.note(found.model, unwritten, "~", by=by)
        before |= rows.latest_versions(found.model, unwritten)
    by_columns: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for key, values in found.changes.items():
        by_columns[tuple(values)].append(key)
    for names, of in by_columns.items():
        told = ((tuple(found.changes[key].values()), key, found.stamps[key]) for key in of)
        if rows.rewrite(found.model, names, told) != len(of):
            raise StaleEdit(found.model.objects.get(pk=_stale(found, of)))  # type: ignore[attr-defined]
    rows.note(found.model, changed, "~", by=by)
    return Written(keys, changed, before)


def _stale(found: Reckoned, keys: Sequence[int]) -> int:
    """One whose stamp is not what it was, plus the step that this writing made."""
    standing = dict(found.model._base_manager.filter(pk__in=keys[:500]).values_list("pk", "stamp"))
    return next((key for key in keys[:500] if standing.get(key) != found.stamps[key] + 1), keys[0])

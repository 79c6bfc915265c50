"""Take glazes or clay bodies in from a spreadsheet: all of its rows, or none."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db import transaction

from firings.cones.forms import ConeField
from firings.forms import KeptForm
from studio.importing.table import Line, Table, bare, nearest, read
from studio.models import Person
from tiles.catalogue.forms import ClayBodyForm, GlazeForm
from tiles.catalogue.services import keep_record

FORMS: dict[str, type[KeptForm]] = {"glazes": GlazeForm, "bodies": ClayBodyForm}
# Further headings people write, beside the words on the page and the column's own name.
ALSO = {
    "name": ("glaze", "glaze name", "body", "clay body", "clay"),
    "kind": ("type",),
    "maker": ("manufacturer", "made by", "brand"),
    "surface": ("surface", "finish"),
    "opacity": ("opacity",),
    "cone_low_order": ("cone from", "from cone", "lowest cone", "low cone"),
    "cone_high_order": ("cone to", "to cone", "highest cone", "high cone"),
    "coats_low": ("coats from", "fewest coats"),
    "coats_high": ("coats to", "most coats"),
    "drying_min": ("drying", "drying time"),
    "known_runner": ("runs", "runner"),
    "colour_family": ("colour", "color", "fired color"),
    "absorption_pct": ("absorption", "water absorption"),
    "shrinkage_pct": ("shrinkage",),
    "default_hold_min": ("hold", "hold min"),
    "note": ("notes", "remark", "remarks"),
}
YES, NO = ("yes", "y", "true", "1", "x"), ("no", "n", "false", "0")


@dataclass(frozen=True, slots=True)
class Complaint:
    """What is wrong in one cell, and what to do."""

    row: int
    column: str
    words: str

    def __str__(self) -> str:
        return f"row {self.row}, {self.column}: {self.words}"


@dataclass(frozen=True, slots=True)
class Report:
    """What a file makes: names of new, changed and unchanged records, complaints, and columns left out."""

    new: tuple[str, ...]
    changed: tuple[str, ...]
    unchanged: int
    complaints: tuple[Complaint, ...]
    left_out: tuple[str, ...]


class OnlyTried(Exception):
    """Undoes what a dry run or a refused file wrote."""


def take_in(data: bytes, kind: str, *, by: Person, only_try: bool) -> Report:
    """Make or change the records of a file by their names; what is empty or not there changes nothing.

    Nothing is kept when a row has a complaint, or with `only_try`. The same file again changes nothing.

    Raises
    ------
    Unreadable : the file is no table
    """
    form = FORMS[kind]
    table = read(data, headings(form))
    if "name" not in table.columns:
        near = nearest("name", table.left_out)
        words = f"No column is headed “name”{f'; is it “{near}”' if near else ''}. Name the column so."
        return Report((), (), 0, (Complaint(1, "headings", words),), table.left_out)
    report = Report((), (), 0, (), table.left_out)
    try:
        with transaction.atomic():
            report = _kept(form, table, by)
            if only_try or report.complaints:
                raise OnlyTried
    except OnlyTried:
        pass
    return report


def headings(form: type[KeptForm]) -> dict[str, Sequence[str]]:
    """For each field of a form the headings it goes by."""
    fields = form().fields
    return {
        name: (name, str(field.label or name), *ALSO.get(name, ()))
        for name, field in fields.items()
        if name != "stamp"
    }


def _kept(kind: type[KeptForm], table: Table, by: Person) -> Report:
    new: list[str] = []
    changed: list[str] = []
    complaints: list[Complaint] = []
    seen: dict[str, int] = {}
    for line in table.lines:
        name = line.cells.get("name", "")
        earlier = seen.setdefault(name.casefold(), line.number)
        if name and earlier != line.number:
            words = f"“{name}” stands in row {earlier} already. Keep one of the two."
            complaints.append(Complaint(line.number, table.columns["name"], words))
            continue
        form, is_new = _filled(kind, line)
        wrong = list(_complaints(form, table, line))
        complaints += wrong
        if not wrong and (is_new or form.has_changed()):
            form.instance._history_user = by  # type: ignore[attr-defined]
            keep_record(form, by=by)
            (new if is_new else changed).append(name)
    unchanged = len(table.lines) - len(new) - len(changed)
    return Report(
        tuple(new), tuple(changed), 0 if complaints else unchanged, tuple(complaints), table.left_out
    )


def _filled(kind: type[KeptForm], line: Line) -> tuple[KeptForm, bool]:
    """The form of the record of this name, or of a new one, with a row's cells typed over what stands there."""
    model = kind._meta.model
    standing = model.objects.filter(name__iexact=line.cells.get("name", "")).first()
    before = kind(instance=standing)
    typed = {name: before[name].value() for name in before.fields}
    given = {name: cell for name, cell in line.cells.items() if cell and not (standing and name == "name")}
    typed |= {name: _as_typed(before.fields[name], cell) for name, cell in given.items()}
    return kind(_posted(typed), instance=standing), standing is None


def _posted(typed: Mapping[str, object]) -> dict[str, object]:
    return {name: value for name, value in typed.items() if value is not None}


def _as_typed(field: forms.Field, cell: str) -> object:
    """A cell as the form wants it: a choice by its words, yes and no, a cone without the word."""
    if isinstance(field, forms.BooleanField):
        return bare(cell) in YES
    if isinstance(field, ConeField):
        return cell.casefold().removeprefix("cone").strip()
    return _choices(field).get(bare(cell), cell)


def _choices(field: forms.Field) -> dict[str, str]:
    """A field's choices by their words."""
    return {bare(word): value for value, words in _pairs(field) for word in (value, words)}


def _pairs(field: forms.Field) -> list[tuple[str, str]]:
    """What a field lets one choose: what is stored, and its words."""
    choices: Any = field.choices if isinstance(field, forms.ChoiceField) else ()
    return [(str(value), str(words)) for value, words in choices if value]


def _complaints(form: KeptForm, table: Table, line: Line) -> Iterator[Complaint]:
    for name, cell in line.cells.items():
        if cell and isinstance(form.fields[name], forms.BooleanField) and bare(cell) not in (*YES, *NO):
            yield Complaint(line.number, table.columns[name], f"“{cell}” is neither yes nor no.")
    for name, words in form.errors.items():
        column = table.columns.get(name, str(form.fields[name].label) if name in form.fields else "row")
        for said in words:
            yield Complaint(line.number, column, f"{said}{_offer(form, name, line.cells.get(name, ''))}")


def _offer(form: KeptForm, name: str, cell: str) -> str:
    """What was perhaps meant, or what there is to choose from."""
    words = [words for _, words in _pairs(form.fields[name])] if name in form.fields else []
    if not words or not cell:
        return ""
    near = nearest(cell, words)
    return f" Is it “{near}”?" if near else f" Take one of: {', '.join(words)}."

"""Bring a spreadsheet in: receive it, look at it, try it, keep all of it or nothing, and take it back as a whole."""

import hashlib
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any

from django.db import IntegrityError, connection, transaction
from django.utils import timezone
from django.utils.text import Truncator

from firings.models import LAYING, ChangedMeanwhile, StaleEdit
from firings.rows import services as rows
from studio.importing import queries
from studio.importing.asides import asides
from studio.importing.catalogue import services as catalogue
from studio.importing.cells import nearest, order_of_days
from studio.importing.columns import Column, guessed, header_key
from studio.importing.fields import NAMING, OF_ONE_FLAW, RESULTS
from studio.importing.headings import group_row, heading_row
from studio.importing.lots import services as lots
from studio.importing.names import (
    BODY,
    FORM,
    GLAZE,
    KILN,
    KIND_OF_LIST,
    ONE,
    Likeness,
    Unknown,
    beside_said,
    folded,
    taken_said,
)
from studio.importing.reading import Grid, Unreadable, read_grid
from studio.importing.report import Message, Report
from studio.importing.results import Reckoned, reckoned
from studio.importing.sheet import laid_out
from studio.importing.told import MAKE_NEW, Told
from studio.models import ImportedRecord, Person, SpreadsheetImport
from studio.vocabulary import ImportState
from tiles.columns import services as columns_in_memory
from tiles.earlier import services as earlier
from tiles.earlier.facts import Cover, Earlier
from tiles.models import FormZone
from tiles.vocabulary import Face, ZoneKind

# From here on triggers are taken off while rows are written, and what is held in memory is read anew.
MANY_ROWS = 5_000
# So many rows are tried and kept while one waits; more by a worker.
ROWS_AT_ONCE = 4_000
TRIES = 3
# So many rows that were set aside are named with their words.
ASIDES_NAMED = 12
NEW_FORM_MM = (70, 110)
EDGE_MM = 5
FOOT_MM = 15


__all__ = ["Unreadable"]


class Refused(Exception):
    """What was asked cannot be done now; the words are fit for a message."""


@dataclass(frozen=True, slots=True)
class Tried:
    """What a file comes to: the report, names nobody knows, and what is to be written."""

    report: Report
    unknown: tuple[Unknown, ...]
    found: Reckoned | catalogue.Reckoned


# Receiving and looking


def receive(data: bytes, name: str, kind: str, *, by: Person) -> SpreadsheetImport:
    """Keep a file as it came and say what its columns most likely hold.

    Raises
    ------
    Unreadable : it is no table; nothing is kept
    """
    # Read outside of a transaction: it takes seconds, and only one row is written.
    grid = read_grid(data)
    new = SpreadsheetImport(
        holds=kind,
        file_name=name.replace("\0", "")[:200],
        sha256=hashlib.sha256(data).hexdigest(),
        content=zlib.compress(data, 6),
        made_by=by,
    )
    _look(new, grid, Told())
    new.save()
    return new


def _grid(of: SpreadsheetImport, told: Told) -> Grid:
    return read_grid(zlib.decompress(bytes(of.content)), told.sheet)


def _look(of: SpreadsheetImport, grid: Grid, told: Told) -> None:
    """Find headings and columns; a file with the same headings as an earlier one is read as that was."""
    fields = queries.fields_of(of.holds)
    told.sheet = grid.sheet
    if not 0 <= told.header < len(grid.rows):
        told.header = heading_row(grid, fields)
    found = guessed(grid, told.header, of.holds, fields, queries.names_known())
    of.header_key = header_key(of.holds, (one.heading for one in found))
    told.columns = {str(one.place): one.field for one in found}
    flowing = {field.key for field in fields if field.of_firing}
    told.above = [one.place for one in found if one.has_gaps and one.field in flowing]
    told.days, why_days = _days(grid, found, told.header)
    if of.holds == RESULTS:
        told.defaults = {
            key: words for key, words in queries.usual().items() if key not in told.columns.values()
        }
    remembered = queries.earlier_with(of.holds, of.header_key, of.pk or 0)
    if remembered and remembered.told:
        told.remembered(Told.of(remembered.told))
    naming = [int(place) for place, key in told.columns.items() if key in NAMING]
    told.asides = {str(row): which for row, which in asides(grid, told.header, naming).items()}
    of.told = told.plain()
    of.looked = {
        "columns": [
            {
                "place": one.place,
                "heading": one.heading,
                "why": one.why,
                "samples": list(one.samples),
                "unit": one.unit,
                "guess": one.field,
                "letter": one.letter,
            }
            for one in found
        ],
        "rows": len(grid.rows) - told.header - 1,
        "header_row": grid.numbers[told.header],
        "group_row": group_row(grid, told.header, fields),
        "sheets": list(grid.sheets),
        "said": list(grid.said),
        "why_days": why_days,
        "remembered": remembered.file_name if remembered and remembered.told else "",
    }


def _days(grid: Grid, found: list[Column], header: int) -> tuple[str, str]:
    place = next((one.place for one in found if one.field == "date"), None)
    return order_of_days(row[place] for row in grid.rows[header + 1 :]) if place is not None else ("", "")


def columns_of(of: SpreadsheetImport, told: Told) -> list[Column]:
    """The file's columns as they are read now."""
    return [
        Column(
            one["place"],
            one["heading"],
            told.columns.get(str(one["place"]), ""),
            one["why"],
            tuple(one["samples"]),
            one["unit"],
        )
        for one in of.looked["columns"]
    ]


@transaction.atomic
def look_again(of: SpreadsheetImport, sheet: str, row: int) -> None:
    """Read another sheet, or take the row of that number for the headings; 0 looks for them anew."""
    _refuse_unless_open(of)
    grid = read_grid(zlib.decompress(bytes(of.content)), sheet)
    is_same_sheet = grid.sheet == of.told.get("sheet", "")
    header = grid.numbers.index(row) if row in grid.numbers and is_same_sheet else -1
    _look(of, grid, Told(header=header))
    of.report = {}
    of.save(update_fields=["header_key", "told", "looked", "report"])


# Trying


def tried(of: SpreadsheetImport, told: Told, grid: Grid | None = None) -> Tried:
    """What the file comes to as things stand, written nowhere.

    Raises
    ------
    Unreadable : the file as it came cannot be read any more
    """
    grid = grid or _grid(of, told)
    found_columns = columns_of(of, told)
    stops = _taken_twice(found_columns) or _nothing_below(grid, told.header)
    if stops:
        return Tried(_stopped(stops), (), Reckoned(Earlier(), {}, {}, Report()))
    sheet = laid_out(grid, found_columns, told)
    if of.holds != RESULTS:
        kind = KIND_OF_LIST[of.holds]
        in_catalogue = catalogue.reckoned(
            of.holds, sheet, told.names.get(kind, {}), told.joined.get(kind, {})
        )
        _say_left_out(in_catalogue.report, found_columns, grid, told)
        new = in_catalogue.report.new.get("record", [])
        likeness = Likeness.among(new, queries.names_in_use(in_catalogue.model))
        in_catalogue.report.said += likeness.said(ONE[kind], new)
        return Tried(in_catalogue.report, tuple(_worth_asking(kind, in_catalogue, likeness)), in_catalogue)
    names = queries.names_of(told)
    mark = of.file_name if told.anew else ""
    found = reckoned(sheet, names, queries.forms_known(), queries.log_known(), days=told.days, file_mark=mark)
    kinds = (GLAZE, BODY, FORM, KILN)
    _say_left_out(found.report, found_columns, grid, told)
    unknown: list[Unknown] = []
    for kind in kinds:
        of_kind = names[kind].unknown
        likeness = Likeness.among([one.name for one in of_kind])
        unknown += (replace(one, alike=likeness.new_near(one.name)) for one in of_kind)
        found.report.said += taken_said(ONE[kind], names[kind].taken)
        found.report.said += beside_said(ONE[kind], names[kind].beside)
        found.report.said += likeness.said(ONE[kind], found.report.new.get(kind, []))
    return Tried(found.report, tuple(unknown), found)


def _worth_asking(kind: str, found: catalogue.Reckoned, likeness: Likeness) -> Iterator[Unknown]:
    """Of the new names of a list those that may be another's, and those of which something was said."""
    for name in likeness.others:
        near, alike = likeness.record_near(name), likeness.new_near(name)
        yield Unknown(kind, name, 1, near, MAKE_NEW, alike=alike)
    for name, other in found.joined:
        yield Unknown(kind, name, 1, "", MAKE_NEW, other, (other,))
    for name, record in found.taken:
        yield Unknown(kind, name, 1, "", record)


def _taken_twice(found: list[Column]) -> list[Message]:
    """Columns that are taken for the same thing."""
    first: dict[str, Column] = {}
    said = []
    for one in found:
        if one.field and (other := first.setdefault(one.field, one)) is not one:
            words = f"The columns “{other.name}” and “{one.name}” are taken for the same. Leave one of them out above."
            said.append(Message(0, "", words))
    return said


def _nothing_below(grid: Grid, header: int) -> list[Message]:
    if header + 1 < len(grid.rows):
        return []
    words = (
        f"No row stands below the headings in row {grid.numbers[header]}. Say above in which row the headings are, "
        "or bring in a sheet with rows."
    )
    return [Message(0, "", words)]


def _stopped(messages: list[Message]) -> Report:
    report = Report()
    report.hear(messages)
    return report


def _say_left_out(report: Report, found: list[Column], grid: Grid, told: Told) -> None:
    report.left_out = [one.name for one in found if not one.field and any(one.samples)]
    report.said = list(grid.said)
    if told.asides:
        report.said.append(_said_of_asides(grid, told.asides))
    if any(one.field.startswith(OF_ONE_FLAW) for one in found):
        report.said.append(
            "In a column of one flaw 1, 2 and 3 are slight, marked and severe; x or yes is slight, an empty cell none."
        )
    if any(one.field == "photo" for one in found):
        report.said.append(
            "Names of photo files are left out: photos are brought in on their own and filed by the number in view."
        )


def _said_of_asides(grid: Grid, which: Mapping[str, str]) -> str:
    """Which rows are set aside, with the words that stand there and why."""
    named = []
    for row, why in list(which.items())[:ASIDES_NAMED]:
        stands = next(filter(None, grid.rows[grid.numbers.index(int(row))]))
        named.append(f"row {row}, “{Truncator(stands).chars(40)}”, {why}")
    if len(which) > ASIDES_NAMED:
        named.append(f"{len(which) - ASIDES_NAMED:,} more")
    return f"Set aside, as nothing to keep stands there: {'; '.join(named)}."


def check(of: SpreadsheetImport) -> SpreadsheetImport:
    """Try the file and keep what came of it, for its page to show."""
    _take_report(of, tried(of, Told.of(of.told)))
    of.state, of.progress = ImportState.OPEN.value, 0
    of.save(update_fields=["report", "state", "progress", "trouble"])
    return of


def _take_report(of: SpreadsheetImport, found: Tried) -> None:
    of.report = {
        **found.report.plain(),
        "unknown": [asdict(one) for one in found.unknown],
    }
    of.trouble = ""


def report_of(of: SpreadsheetImport) -> Report | None:
    """What the last try said; None before the first."""
    plain = {name: value for name, value in of.report.items() if name != "unknown"}
    return Report.of(plain) if plain else None


@transaction.atomic
def tell(of: SpreadsheetImport, change: Callable[[Told], None]) -> SpreadsheetImport:
    """Keep how a file is to be read."""
    fresh = SpreadsheetImport.objects.select_for_update(of=("self",)).get(pk=of.pk)
    _refuse_unless_open(fresh)
    told = Told.of(fresh.told)
    change(told)
    fresh.told, fresh.report = told.plain(), {}
    fresh.save(update_fields=["told", "report"])
    return fresh


def _refuse_unless_open(of: SpreadsheetImport) -> None:
    if of.state == ImportState.WORKING.value:
        raise Refused(f"{of.file_name} is being worked on. Wait until that is done.")
    if of.state != ImportState.OPEN.value:
        raise Refused(f"{of.file_name} is in the logbook already. Undo it first, or bring it in again.")


@transaction.atomic
def drop(of: SpreadsheetImport) -> None:
    """Forget a file that was never kept."""
    fresh = SpreadsheetImport.objects.select_for_update(of=("self",)).get(pk=of.pk)
    _refuse_unless_open(fresh)
    fresh.delete()


@transaction.atomic
def set_to_work(of: SpreadsheetImport, state: ImportState) -> bool:
    """Mark a file as being worked on by a worker; False where one is at it already."""
    fresh = SpreadsheetImport.objects.select_for_update(of=("self",)).get(pk=of.pk)
    if fresh.state == ImportState.WORKING.value:
        return False
    if fresh.state != state.value:
        raise Refused(f"{fresh.file_name} was just changed by somebody. Look at it again.")
    fresh.state, fresh.progress, fresh.trouble = ImportState.WORKING.value, 1, ""
    fresh.save(update_fields=["state", "progress", "trouble"])
    return True


def give_up(of: SpreadsheetImport, why: str) -> None:
    """A worker could not do it: the file waits as it did, with the reason."""
    state = ImportState.KEPT.value if of.kept_at and not of.undone_at else ImportState.OPEN.value
    SpreadsheetImport.objects.filter(pk=of.pk).update(state=state, progress=0, trouble=why[:500])


# Keeping


def keep(of: SpreadsheetImport, *, by: Person) -> SpreadsheetImport:
    """Write all that the file holds, or nothing where something is to mend.

    The file is read before anything is written, so that nobody waits for that; where anything it was compared with
    changed meanwhile, it is compared anew. What it makes carries marks, so the same rows again make nothing twice.
    One transaction writes it; much is written in lots, seen by nobody before the last.
    """
    told = Told.of(of.told)
    _say_progress(of, 5)
    grid = _grid(of, told)
    _say_progress(of, 20)
    with lots.one_at_a_time():
        for left in reversed(range(TRIES)):
            seen = queries.mark()
            found = tried(of, told, grid)
            _say_progress(of, 60)
            try:
                if (
                    left
                    and isinstance(found.found, Reckoned)
                    and lots.are_possible(len(found.found.earlier.tiles))
                ):
                    return _written_in_lots(of, found, found.found, seen, by)
                return _written(of, found, seen, told, grid, by)
            except (IntegrityError, StaleEdit, ChangedMeanwhile):
                if not left:
                    raise
    return of


def _say_progress(of: SpreadsheetImport, percent: int) -> None:
    """Let the page see how far it is; not from within a transaction, from where nobody sees it."""
    if of.state == ImportState.WORKING.value and not connection.in_atomic_block:
        SpreadsheetImport.objects.filter(pk=of.pk).update(progress=percent)


@transaction.atomic
def _written(
    of: SpreadsheetImport, found: Tried, seen: tuple[Any, ...], told: Told, grid: Grid, by: Person
) -> SpreadsheetImport:
    fresh = _claimed(of)
    if queries.mark() != seen:
        found = tried(of, told, grid)
    if not found.report.is_clean:
        return _left_to_mend(fresh, found)
    with _watching_paused(found.report.counts.get("rows", 0)):
        if isinstance(found.found, Reckoned):
            _write_results(fresh, found.found, by)
        else:
            _write_catalogue(fresh, found.found, by)
    return _kept(fresh, found)


def _claimed(of: SpreadsheetImport) -> SpreadsheetImport:
    # All that bring something in hold the same row, one after the other.
    SpreadsheetImport.objects.select_for_update(of=("self",)).order_by("pk").values_list("pk").first()
    fresh = SpreadsheetImport.objects.select_for_update(of=("self",)).get(pk=of.pk)
    if fresh.state not in (ImportState.OPEN.value, ImportState.WORKING.value):
        raise Refused(f"{fresh.file_name} is in the logbook already.")
    return fresh


def _left_to_mend(fresh: SpreadsheetImport, found: Tried) -> SpreadsheetImport:
    _take_report(fresh, found)
    fresh.state, fresh.progress = ImportState.OPEN.value, 0
    fresh.save(update_fields=["report", "state", "progress", "trouble"])
    return fresh


def _kept(fresh: SpreadsheetImport, found: Tried) -> SpreadsheetImport:
    _take_report(fresh, found)
    fresh.state, fresh.progress, fresh.kept_at = ImportState.KEPT.value, 100, timezone.now()
    fresh.undone_at = fresh.undone_by = None
    fresh.save(update_fields=["report", "state", "progress", "kept_at", "trouble", "undone_at", "undone_by"])
    return fresh


def _written_in_lots(
    of: SpreadsheetImport, tried_: Tried, found: Reckoned, seen: tuple[Any, ...], by: Person
) -> SpreadsheetImport:
    """Names and firings first, then tiles lot by lot, unseen; at last all of it is shown, or struck out."""
    earlier_ = found.earlier
    spoken_for = [tile.number for tile in earlier_.tiles if tile.number]
    try:
        with lots.lot():
            fresh = _claimed(of)
            if queries.mark() != seen:
                raise ChangedMeanwhile
            if not tried_.report.is_clean:
                return _left_to_mend(fresh, tried_)
            _make_names(fresh, found, by, LAYING)
            _lay_firings(fresh, earlier_, by)
        for place, part in enumerate(lots.parts(earlier_), start=1):
            with lots.lot():
                laid = earlier.lay_down(part, by=by, unseen=LAYING, spoken_for=spoken_for)
                _note_tiles(fresh, laid, part)
            _say_progress(
                of, 60 + 40 * place * lots.TILES_AT_ONCE // (len(earlier_.tiles) + lots.TILES_AT_ONCE)
            )
        with transaction.atomic():
            fresh = _claimed(of)
            if not queries.all_stand(earlier_) or queries.are_in_already(fresh):
                raise ChangedMeanwhile
            with _watching_paused(MANY_ROWS + 1):
                lots.show()
            return _kept(fresh, tried_)
    except BaseException:
        lots.strike_out()
        raise


def _lay_firings(of: SpreadsheetImport, earlier_: Earlier, by: Person) -> None:
    """The firings that are new; from here on they are known."""
    laid = earlier.lay_down(Earlier(firings=earlier_.firings), by=by, unseen=LAYING)
    _note_firings(of, laid, earlier_)
    for place, key in laid.firings.items():
        earlier_.firings[place].known = key


@contextmanager
def _watching_paused(count: int) -> Any:
    """Without triggers while much is written on SQLite; PostgreSQL would keep readers out to take them off."""
    pause = count > MANY_ROWS and connection.vendor == "sqlite"
    if pause:
        columns_in_memory.stop_watching()
    yield
    if pause:
        columns_in_memory.watch_writes()


def _write_catalogue(of: SpreadsheetImport, found: catalogue.Reckoned, by: Person) -> None:
    written = catalogue.write(found, by=by)
    label = found.model._meta.label_lower
    _note_records(of, label, ((key, "", 1, None) for key in written.made))
    _note_records(
        of,
        label,
        ((key, "", found.stamps[key] + 1, written.before.get(key)) for key in written.changed),
    )


def _note_records(of: SpreadsheetImport, label: str, told: Any) -> None:
    rows.insert(
        ImportedRecord,
        ("made_in_id", "model", "record_id", "key", "stamp", "before"),
        ((of.pk, label, *one) for one in told),
    )


def _write_results(of: SpreadsheetImport, found: Reckoned, by: Person) -> None:
    _make_names(of, found, by)
    laid = earlier.lay_down(found.earlier, by=by)
    _note_firings(of, laid, found.earlier)
    _note_tiles(of, laid, found.earlier)


def _make_names(of: SpreadsheetImport, found: Reckoned, by: Person, unseen: datetime | None = None) -> None:
    """Make what is named for the first time, and name all by their keys."""
    made = {kind: _make_named(of, kind, found, by, unseen) for kind in (BODY, GLAZE, KILN, FORM)}
    earlier_ = found.earlier

    def real(kind: str, reference: int) -> int:
        return reference if reference > 0 else made[kind][-reference - 1]

    earlier_.stacks = [tuple(_replaced(cover, real) for cover in stack) for stack in earlier_.stacks]
    for firing in earlier_.firings:
        firing.kiln = real(KILN, firing.kiln)
    for tile in earlier_.tiles:
        tile.body, tile.form = real(BODY, tile.body), real(FORM, tile.form)
        if any(layer.glaze < 0 for layer in tile.layers):
            tile.layers = [layer._replace(glaze=real(GLAZE, layer.glaze)) for layer in tile.layers]
        tile.note = f"{tile.note} {of.file_name}, row {tile.row}.".strip()


def _note_firings(of: SpreadsheetImport, laid: earlier.LaidDown, earlier_: Earlier) -> None:
    _note_records(
        of,
        "firings.firing",
        ((key, earlier_.firings[place].key, 1, None) for place, key in laid.firings.items()),
    )


def _note_tiles(of: SpreadsheetImport, laid: earlier.LaidDown, earlier_: Earlier) -> None:
    _note_records(
        of,
        "tiles.tile",
        ((key, tile.key, 1, None) for key, tile in zip(laid.tiles, earlier_.tiles, strict=True)),
    )


def _replaced(cover: Cover, real: Callable[[str, int], int]) -> Cover:
    return cover._replace(glaze=real(GLAZE, cover.glaze)) if cover.glaze < 0 else cover


def _make_named(
    of: SpreadsheetImport, kind: str, found: Reckoned, by: Person, unseen: datetime | None
) -> list[int]:
    """Records of names that are new, in their order; their keys."""
    names = found.names[kind].new
    if not names:
        return []
    model = queries.NAMED[kind]
    given: dict[str, Any] = {"binned_at": unseen}
    if kind == FORM:
        given |= zip(("width_mm", "height_mm"), NEW_FORM_MM, strict=True)
        given["note"] = f"From {of.file_name}. Its size is a guess: correct it."
    keys = rows.reserve(model, len(names))
    rows.insert(
        model,
        ("id", "name", "created_by_id", *given),
        ((key, name, by.pk, *given.values()) for key, name in zip(keys, names, strict=True)),
    )
    if kind == FORM:
        for place, key in enumerate(keys, start=1):
            FormZone.objects.bulk_create(_zones_of(key, found.form_zones.get(-place, ["face"])))
    rows.note(model, keys, "+", by=by)
    _note_records(of, model._meta.label_lower, ((key, "", 1, None) for key in keys))
    return list(keys)


def _zones_of(form: int, names: list[str]) -> list[FormZone]:
    """Zones side by side on the front, those called back on the back."""
    width, height = NEW_FORM_MM
    faces = {name: Face.BACK if "back" in folded(name) else Face.FRONT for name in names}
    made = []
    for position, name in enumerate(names, start=1):
        beside = [one for one in names if faces[one] is faces[name]]
        each = round((width - 2 * EDGE_MM) / len(beside), 1)
        textured = "textur" in folded(name)
        kind = ZoneKind.BACK if faces[name] is Face.BACK else ZoneKind.TEXTURE if textured else ZoneKind.BAND
        made.append(
            FormZone(
                form_id=form,
                position=position,
                name=name,
                kind=(ZoneKind.WHOLE if len(names) == 1 and kind is ZoneKind.BAND else kind).value,
                face=faces[name].value,
                textured=textured,
                x_mm=round(EDGE_MM + each * beside.index(name), 1),
                y_mm=EDGE_MM,
                width_mm=each,
                height_mm=height - EDGE_MM - FOOT_MM,
            )
        )
    return made


# The command's road: a file at once, as its columns were guessed.


def take_in(data: bytes, kind: str, *, by: Person, only_try: bool, name: str = "spreadsheet.csv") -> Report:
    """Make or change the records of a file, with its columns as guessed; nothing is kept with `only_try`.

    Raises
    ------
    Unreadable : the file is no table
    """
    grid = read_grid(data)
    fields = queries.fields_of(kind)
    if kind != RESULTS and "name" not in _guessed_fields(grid, kind):
        headings = [cell for cell in grid.rows[heading_row(grid, fields)] if cell]
        near = nearest("name", headings)
        words = f"No column is headed “name”{f'; is it “{near}”' if near else ''}. Name the column so."
        return _stopped([Message(grid.numbers[0], "headings", words)])
    if only_try:
        trial = SpreadsheetImport(holds=kind, file_name=name)
        _look(trial, grid, Told())
        return tried(trial, Told.of(trial.told), grid).report
    new = receive(data, name, kind, by=by)
    report = None
    try:
        report = report_of(keep(new, by=by))
    finally:
        if report is None or not report.is_clean:
            new.delete()
    return report or Report()


def _guessed_fields(grid: Grid, kind: str) -> set[str]:
    fields = queries.fields_of(kind)
    return {one.field for one in guessed(grid, heading_row(grid, fields), kind, fields, {})}

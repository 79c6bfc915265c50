"""Write the whole studio as an open package, and take one into an empty studio."""

import csv
import hashlib
import io
import time
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, BinaryIO, cast

from django.core.management import call_command
from django.db import DatabaseError, connection, models, transaction
from django.utils import timezone

from firings.curves.services import originals
from firings.logbook.services import count_anew
from firings.models import Firing
from studio.backup.services import own_version
from studio.export import cells, package, queries
from studio.export.earlier import queries as earlier
from studio.export.package import ORIGINALS, Described, Table, Written
from studio.models import Person
from studio.queries import preferences_now
from studio.tables.queries import fields_of, roles_held, rows_of
from studio.tables.services import give_roles, go_on_counting, write_rows
from tiles.photos.queries import photo_store

NAME = "studio-%Y%m%d-%H%M%S.zip"
CHUNK_BYTES = 1024 * 1024
KEPT_FOR_S = 7 * 24 * 60 * 60.0
# No cell is longer: a curve of three days at a second, in base64, has 6 MB.
LONGEST_CELL = 64 * 1024 * 1024


class CannotTakeIn(Exception):
    """A package is not taken in; the words say where it is wrong. Nothing of it was kept."""


# Out


def export_studio(place: Path) -> list[str]:
    """Write the studio as it stands into a package; what is missing or damaged on its own disk. People go on working.

    Raises OSError when the disk refuses; then no half package is left.
    """
    place.parent.mkdir(parents=True, exist_ok=True)
    unfinished = place.with_suffix(".making")
    try:
        with zipfile.ZipFile(unfinished, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as file:
            amiss = _write(file)
        unfinished.replace(place)
    finally:
        unfinished.unlink(missing_ok=True)
    return amiss


def _write(file: zipfile.ZipFile) -> list[str]:
    with queries.as_it_stands() as using:
        written = [_write_table(file, table, _told(model, using)) for model, table in queries.tables()]
        amiss: list[str] = []
        kept = list(_write_originals(file, using, amiss))
    written.append(_write_table(file, ORIGINALS, kept))
    moment, studio = timezone.now().isoformat(), preferences_now().studio_name
    file.writestr(
        package.DESCRIPTION,
        package.description(
            written, made_at=moment, version=own_version(), studio=studio, migrations=earlier.latest()
        ),
    )
    return amiss


def _told(model: type[models.Model], using: str) -> Iterator[tuple[Any, ...]]:
    rows = rows_of(model, using, queries.exported(model))
    if model is not Person:
        yield from rows
        return
    roles = roles_held(using)
    for row in rows:
        yield (*row, roles.get(row[0], ""))


def _write_table(file: zipfile.ZipFile, table: Table, rows: Iterable[tuple[Any, ...]]) -> Written:
    kinds = [column.kind for column in table.columns]
    count = 0
    with file.open(table.path, "w", force_zip64=True) as raw:
        hashed = _Hashed(raw)
        with io.TextIOWrapper(cast(BinaryIO, hashed), encoding="utf-8", newline="") as text:
            lines = csv.writer(text)
            lines.writerow(table.header)
            for row in rows:
                lines.writerow([cells.cell(kind, value) for kind, value in zip(kinds, row, strict=True)])
                count += 1
    return Written(table, count, hashed.byte_count, hashed.digest.hexdigest())


def _write_originals(file: zipfile.ZipFile, using: str, amiss: list[str]) -> Iterator[tuple[str, str, int]]:
    for name, sha256, place in queries.files(using):
        if not place.exists():
            amiss.append(f"{name} is missing")
            continue
        file.write(place, name, zipfile.ZIP_STORED)
        yield name, sha256, place.stat().st_size


class _Hashed(io.RawIOBase):
    """Hashes what goes through it."""

    def __init__(self, behind: IO[bytes]) -> None:
        self.behind, self.digest, self.byte_count = behind, hashlib.sha256(), 0

    def writable(self) -> bool:
        return True

    def write(self, chunk: Any) -> int:
        """Pass on what is written."""
        taken = bytes(chunk)
        self.digest.update(taken)
        self.byte_count += len(taken)
        return self.behind.write(taken)


def forget_old_packages(folder: Path) -> None:
    """Delete packages of more than a week ago: each is as large as the studio."""
    for place in [*folder.glob("studio-*.zip"), *folder.glob("*.making")]:
        if time.time() - place.stat().st_mtime > KEPT_FOR_S:
            place.unlink(missing_ok=True)


# And back


def import_studio(place: Path) -> dict[str, int]:
    """Take a package into an empty studio, all or nothing; how many rows of each table.

    Raises
    ------
    CannotTakeIn : there is a studio here, or the package is damaged, of another version, or does not hold together
    """
    if Person.objects.exists():
        raise CannotTakeIn(
            "There is a studio here already. Take it into an empty one: TILEWRIGHT_DATA=/a/new/folder."
        )
    tables = queries.tables()
    with _opened(place) as file:
        described = _checked(file, tables)
        try:
            with transaction.atomic():
                counts = _take_in(file, described, tables)
        except DatabaseError as trouble:
            raise CannotTakeIn(f"The database refuses it: {str(trouble).splitlines()[0]}") from trouble
    return counts


@contextmanager
def _opened(place: Path) -> Iterator[zipfile.ZipFile]:
    try:
        with zipfile.ZipFile(place) as file:
            yield file
    except (zipfile.BadZipFile, zipfile.LargeZipFile, EOFError, NotImplementedError, RuntimeError) as trouble:
        raise CannotTakeIn("The file is damaged, or no package at all.") from trouble


def _checked(file: zipfile.ZipFile, tables: Sequence[tuple[type[models.Model], Table]]) -> Described:
    """What the package says of itself, if it has this version's tables and no name in it leads elsewhere.

    One of an earlier version may lack what was only added since.
    """
    names = file.namelist()
    if strange := [name for name in names if not package.NAMES.fullmatch(name)]:
        raise CannotTakeIn(f"It holds what no package holds: {strange[0][:80]!r}.")
    if package.DESCRIPTION not in names or len(names) != len(set(names)):
        raise CannotTakeIn("It has no description of its own, or holds a file twice.")
    try:
        described = package.read_description(file.read(package.DESCRIPTION))
    except ValueError as trouble:
        raise CannotTakeIn(str(trouble)) from trouble
    added = earlier.added_since(described.migrations)
    for model, table in [*tables, (None, ORIGINALS)]:
        header = described.headers.get(table.name)
        is_there = table.path in names
        if not (
            (header == table.header and is_there)
            or (
                model and is_there == (header is not None) and earlier.came_later(model, table, header, added)
            )
        ):
            raise CannotTakeIn(
                f"Its table “{table.name}” is not what this version has. It was made by "
                f"{described.version or 'another'}: take it in with that version, then upgrade."
            )
    return described


def _take_in(
    file: zipfile.ZipFile, described: Described, tables: Sequence[tuple[type[models.Model], Table]]
) -> dict[str, int]:
    counts = {}
    for model, table in tables:
        rows = _whole(model, table, described, _rows(file, described, table))
        if model is Person:
            rows = list(rows)
            held = {row[0]: row[-1] for row in rows if row[-1]}
        counts[table.name] = _take_in_table(model, rows)
    give_roles(held)
    go_on_counting([model for model, _ in tables])
    connection.check_constraints()
    count_anew(Firing.everything)
    counts["original"] = _take_in_originals(file, described)
    call_command("check_conditions", mend=True, verbosity=0, stdout=io.StringIO())
    return counts


def _whole(
    model: type[models.Model], table: Table, described: Described, rows: Iterable[list[Any]]
) -> Iterable[list[Any]]:
    """The rows with every column of this version: what came since begins as on a new record."""
    header = described.headers.get(table.name, table.header)
    if header == table.header:
        return rows
    fields = {field.attname: field for field in queries.exported(model)}
    at = [header.index(name) if name in header else None for name in table.header]
    return (
        [
            fields[name].get_default() if place is None else row[place]
            for name, place in zip(table.header, at, strict=True)
        ]
        for row in rows
    )


def _take_in_table(model: type[models.Model], rows: Iterable[list[Any]]) -> int:
    fields = queries.exported(model)
    new = [field for field in fields_of(model) if field not in fields]
    more = tuple(queries.NEW_THERE[field.name] for field in new)
    fitting = (
        (*(_fit(field, value) for field, value in zip(fields, row, strict=False)), *more) for row in rows
    )
    return write_rows(model, [*fields, *new], fitting)


def _fit(field: models.Field[Any, Any], value: Any) -> Any:
    """An empty cell of a text column is a text without letters; of any other, no value."""
    if value is None and not field.null and queries.kind_of(field) == "string":
        return ""
    return float(value) if value is not None and isinstance(field, models.FloatField) else value


def _rows(file: zipfile.ZipFile, described: Described, table: Table) -> Iterator[list[Any]]:
    """The rows of a table, read as far as it says and compared with its digest at the end.

    None of a table that came after the package.
    """
    if table.name not in described.headers:
        return
    table = table.with_columns(described.headers[table.name])
    csv.field_size_limit(LONGEST_CELL)
    byte_count, digest = described.digests[table.name]
    with file.open(table.path) as raw:
        bounded = _Bounded(raw, byte_count)
        try:
            lines = csv.reader(
                io.TextIOWrapper(io.BufferedReader(bounded), encoding="utf-8", newline=""), strict=True
            )
            next(lines, None)
            for number, line in enumerate(lines, start=2):
                yield _row(table, number, line)
        except (csv.Error, UnicodeDecodeError, zipfile.BadZipFile) as trouble:
            raise CannotTakeIn(f"{table.path} cannot be read: {trouble}.") from trouble
    if f"sha256:{bounded.digest.hexdigest()}" != digest:
        raise CannotTakeIn(
            f"{table.path} is not what was written: a file of the package was changed or damaged."
        )


def _row(table: Table, number: int, line: list[str]) -> list[Any]:
    if len(line) != len(table.columns):
        raise CannotTakeIn(f"{table.path}, row {number}: it has {len(line)} cells, not {len(table.columns)}.")
    read = []
    for column, written in zip(table.columns, line, strict=True):
        try:
            read.append(cells.value(column.kind, written))
        except ValueError as trouble:
            raise CannotTakeIn(f"{table.path}, row {number}, column {column.name}: {trouble}.") from trouble
    return read


class _Bounded(io.RawIOBase):
    """Hashes what is read, and no more of it than was announced."""

    def __init__(self, behind: IO[bytes], most_bytes: int) -> None:
        self.behind, self.left, self.digest = behind, most_bytes, hashlib.sha256()

    def readable(self) -> bool:
        return True

    def readinto(self, room: Any) -> int:
        """Read on; a file that goes on beyond what it said is not believed."""
        chunk = self.behind.read(len(room))
        self.left -= len(chunk)
        if self.left < 0:
            raise zipfile.BadZipFile("it is longer than it says")
        self.digest.update(chunk)
        room[: len(chunk)] = chunk
        return len(chunk)


def _take_in_originals(file: zipfile.ZipFile, described: Described) -> int:
    """Each original onto the disk, before the rows that stand for it are there for good."""
    taken = 0
    for path, sha256, _ in _rows(file, described, ORIGINALS):
        if not package.NAMES.fullmatch(path) or sha256 not in path:
            raise CannotTakeIn(f"{ORIGINALS.path} names {path[:80]!r}, which is no original.")
        try:
            with file.open(path) as raw:
                found = _keep(path, raw)
        except KeyError:
            raise CannotTakeIn(f"{path} is missing.") from None
        if found != sha256:
            raise CannotTakeIn(f"{path} holds something else than its name says.")
        taken += 1
    return taken


def _keep(path: str, raw: IO[bytes]) -> str:
    if path.startswith("originals/curves/"):
        sha256 = originals().receive(iter(lambda: raw.read(CHUNK_BYTES), b""))
        originals().keep(sha256)
        return sha256
    with photo_store().arrive() as arrival:
        arrival.write_all(raw)
        photo_store().keep_original(arrival, path.rpartition(".")[2])
        return arrival.sha256

"""Read results into columns, follow what is written, and hand out what stands."""

import gc
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple

from django.db import close_old_connections, connection
from django.db.models import Max, Min

from firings.models import Kiln
from tiles.columns import triggers
from tiles.columns.held import (
    Held,
    Read,
    changed,
    coded,
    joined,
    nothing,
    with_lookups,
    with_rows,
)
from tiles.columns.values import Lookups
from tiles.models import ClayBody, Glaze, GlazeBatch, Outcome, Series
from tiles.vocabulary import GlazeKind

# More results than these are read in the background, while the database answers.
AT_ONCE = 20_000
# More changed results than these are dearer one by one than reading all anew.
MOST_CHANGED = 20_000
# Few enough rows at once that the collector of garbage has little to look through.
READ_AT_ONCE, ASKED_AT_ONCE = 5_000, 400

DAY = {
    "sqlite": "CAST(julianday(o.fired_on) - 1721424.5 AS INTEGER)",
    "postgresql": "(o.fired_on - DATE '0001-01-01' + 1)",
}
# What a row of RESULTS holds, column by column, as slices.
HEAT, STACK, SEEN, RUN, WARE = slice(1, 9), slice(9, 15), slice(15, 19), slice(19, 21), slice(21, 27)
SERIES, GLOSS, SAID, SORTED, LAB, THICK = 27, 28, slice(29, 31), slice(31, 33), slice(33, 36), 36
DAYS, FIRINGS = 8, 26
RESULTS = """
    SELECT o.id,
        f.number, o.kiln_id, o.target_order, o.reached_order,
        CAST(ROUND(o.reached_number * 100) AS INTEGER), o.atmosphere, o.hold_min, {day},
        o.top_glaze_id, o.layer_count, o.coats_total, o.coats_top, o.method, o.stack_key,
        o.surface, o.opacity, o.verdict, o.judged_at IS NOT NULL,
        CAST(ROUND(o.run_mm * 10) AS INTEGER), o.runs_off,
        o.body_id, o.form_id, o.textured, s.position, {pictured}, o.firing_count,
        t.series_id, CAST(ROUND(o.gloss_gu * 10) AS INTEGER), o.remark, t.note,
        t.number, z.position,
        o.lab_l, o.lab_a, o.lab_b, {thickness}
    FROM tiles_outcome o
    JOIN tiles_tile t ON t.id = o.tile_id
    JOIN firings_firing f ON f.id = o.firing_id
    JOIN tiles_zone z ON z.id = o.zone_id
    LEFT JOIN firings_shelf s ON s.id = o.shelf_id
    WHERE o.binned_at IS NULL AND o.fired_on IS NOT NULL AND t.binned_at IS NULL AND f.binned_at IS NULL AND {which}
    ORDER BY o.id
"""
PICTURED = """EXISTS (
    SELECT 1 FROM tiles_photofiling p JOIN tiles_photo q ON q.id = p.photo_id
    WHERE p.tile_id = o.tile_id AND q.binned_at IS NULL
    AND (p.placement_id = o.placement_id OR p.placement_id IS NULL) AND (p.zone_id = o.zone_id OR p.zone_id IS NULL)
)"""
# All layers that were on the zone in that firing; nothing where one was not measured.
THICKNESS = """(
    SELECT CASE WHEN COUNT(*) = COUNT(c.thickness_mm) THEN CAST(ROUND(SUM(c.thickness_mm) * 100) AS INTEGER) END
    FROM tiles_coverage c JOIN tiles_layer l ON l.id = c.layer_id JOIN tiles_placement m ON m.id = o.placement_id
    WHERE c.zone_id = o.zone_id AND l.after_firings < m.sequence
)"""
LAYERS = """SELECT outcome_id, glaze_id, COALESCE(batch_id, 0), CASE WHEN is_top THEN 1 ELSE 0 END
    FROM tiles_stackedlayer WHERE {which} ORDER BY outcome_id, position"""
FLAWS = "SELECT outcome_id, kind FROM tiles_flaw WHERE {which} ORDER BY outcome_id, kind"


class Version(NamedTuple):
    """The newest note of a write that was followed; `stamp` tells it from another of the same id."""

    pk: int
    stamp: int
    transaction: int
    seen: frozenset[int]


@dataclass(slots=True)
class Kept:
    """What this process holds. `held` and `version` change together, under the lock, and only as a pair."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    standing: tuple[Version, Held] | None = None
    reading: threading.Thread | None = None


_kept = Kept()


def standing() -> Held | None:
    """All fired results as they stand now, every committed write included; None where the database must be asked.

    That is inside a transaction, whose own writes nobody else may see, and while a large studio is read for the
    first time.
    """
    if connection.in_atomic_block:
        return None
    with _kept.lock:
        if _kept.standing is not None:
            _kept.standing = _followed(*_kept.standing)
        if _kept.standing is None and not _is_being_read():
            _read_all()
        return _kept.standing[1] if _kept.standing else None


def all_held() -> Held:
    """The same, waited for while a large studio is read for the first time; inside a transaction read anew."""
    held = standing()
    reading = _kept.reading
    if held is None and not connection.in_atomic_block and reading is not None:
        reading.join()
        held = standing()
    return held if held is not None else read_now()


def forget() -> None:
    """Hold nothing more; the next question reads all anew."""
    with _kept.lock:
        _kept.standing = None


def read_now() -> Held:
    """All results read anew, and not kept: what this very connection sees, its own transaction's writes included."""
    read = _read()
    return read[1] if read else nothing()


def _is_being_read() -> bool:
    return _kept.reading is not None and _kept.reading.is_alive()


def _read_all() -> None:
    if Outcome.objects.fired().count() <= AT_ONCE:
        _kept.standing = _read()
        return
    _kept.reading = threading.Thread(target=_read_behind, name="results into columns", daemon=True)
    _kept.reading.start()


def _read_behind() -> None:
    try:
        read = _read()
        # What is held for good the collector of garbage need not look through again and again: 0.1 to 0.2 s each time.
        gc.collect()
        gc.freeze()
    finally:
        close_old_connections()
        connection.close()
    with _kept.lock:
        _kept.standing = read


def _read() -> tuple[Version, Held] | None:
    """All results and the version they are at least as new as; None where nothing notes writes."""
    version = _newest()
    if version is None:
        return None
    held = with_lookups(nothing(), lookups())
    parts = [coded(read, held.books) for read in read_results()]
    return version, with_rows(held, joined(parts))


def _followed(version: Version, held: Held) -> tuple[Version, Held] | None:
    """The next snapshot where something was written since; None where too much was, or one cannot tell."""
    notes = _notes_since(version)
    if notes is None:
        return None
    fresh = {note[2:4] for note in notes if note.pk not in version.seen and note.pk != version.pk}
    kinds = {about for about, _ in fresh}
    if triggers.EVERYTHING in kinds or len(fresh) > MOST_CHANGED:
        return None
    if triggers.NAMES in kinds:
        held = with_lookups(held, lookups())
    keys = _outcomes_of(fresh)
    if len(keys) > MOST_CHANGED:
        return None
    return _version_of(notes), _with_changed(held, keys) if keys else held


def _with_changed(held: Held, keys: Sequence[int]) -> Held:
    return changed(held, keys, read_results(keys))


class Note(NamedTuple):
    """A write as the database noted it; `running` is the oldest transaction that may still have been writing."""

    pk: int
    stamp: int
    about: str
    key: int
    transaction: int
    running: int


RUNNING = {"sqlite": "0", "postgresql": "pg_snapshot_xmin(pg_current_snapshot())::text::bigint"}
NOTES = "SELECT id, stamp, about, key, on_transaction, {running} FROM tiles_resultchange {which} ORDER BY id"


def _notes(which: str, asked: Sequence[int]) -> list[Note]:
    with connection.cursor() as cursor:
        cursor.execute(NOTES.format(running=RUNNING[connection.vendor], which=which), asked)
        return [Note(*row) for row in cursor.fetchall()]


def _newest() -> Version | None:
    """The version that what is read from here on is at least as new as; None where nothing was ever noted.

    On PostgreSQL it knows the notes that are looked through again, or one long transaction of anybody's would have all
    of them taken for new ones ever again.
    """
    newest = "WHERE id = (SELECT MAX(id) FROM tiles_resultchange)"
    if connection.vendor == "postgresql":
        newest += f" OR on_transaction >= {RUNNING['postgresql']}"
    notes = _notes(newest, ())
    return _version_of(notes) if notes else None


def _notes_since(version: Version) -> list[Note] | None:
    """What was noted since, that very note included; None where it is gone.

    On PostgreSQL a note may become visible after one of a higher id: those of transactions that may have been running
    are looked through again.
    """
    if connection.vendor == "postgresql":
        notes = _notes("WHERE id >= %s OR on_transaction >= %s", (version.pk, version.transaction))
    else:
        notes = _notes("WHERE id >= %s", (version.pk,))
    return notes if any((note.pk, note.stamp) == version[:2] for note in notes) else None


def _version_of(notes: Sequence[Note]) -> Version:
    newest = max(notes, key=lambda note: note.pk)
    seen = frozenset(note.pk for note in notes if note.transaction >= note.running > 0)
    return Version(newest.pk, newest.stamp, newest.running, seen)


def _outcomes_of(changes: set[tuple[str, int]]) -> list[int]:
    """The outcomes that these records are about."""
    by_kind: dict[str, list[int]] = {}
    for about, key in changes:
        by_kind.setdefault(about, []).append(key)
    found = set(by_kind.pop("outcome", ()))
    paths = {"tile": "tile", "zone": "zone", "firing": "firing", "shelf": "shelf"}
    paths["layer"] = "zone__coverages__layer"
    paths["photo"] = "tile__photo_filings__photo"
    for about, keys in by_kind.items():
        if about in paths:
            for piece in _pieces(keys):
                rows = Outcome.everything.filter(**{f"{paths[about]}__in": piece})
                found.update(rows.values_list("pk", flat=True)[: MOST_CHANGED + 1])
    return sorted(found)


def _pieces(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    return (keys[start : start + ASKED_AT_ONCE] for start in range(0, len(keys), ASKED_AT_ONCE))


def lookups() -> Lookups:
    """Names and kinds of the records that results share, the bin's included. Five queries."""
    glazes = [*Glaze.everything.values_list("pk", "name", "kind")]
    bodies = [*ClayBody.everything.values_list("pk", "name", "colour_family", "speckled")]
    lots = [*GlazeBatch.everything.values_list("pk", "glaze__name", "lot")]
    return Lookups(
        glazes={pk: name for pk, name, _ in glazes},
        fluxes=frozenset(pk for pk, _, kind in glazes if kind == GlazeKind.FLUX.value),
        bodies={pk: name for pk, name, _, _ in bodies},
        colours={pk: colour for pk, _, colour, _ in bodies},
        speckled=frozenset(pk for pk, _, _, speckled in bodies if speckled),
        kilns=dict(Kiln.everything.values_list("pk", "name")),
        series=dict(Series.everything.values_list("pk", "name")),
        lots={pk: lot for pk, _, lot in lots},
        lots_of={pk: f"{glaze} {lot}" for pk, glaze, lot in lots},
    )


def read_results(keys: Sequence[int] | None = None) -> Iterator[Read]:
    """Results of these keys that a search looks among, or all of them, piece by piece in the order of their keys."""
    for which, asked in _ranges() if keys is None else _lists(keys):
        rows = _rows(RESULTS, which.format("o.id"), asked)
        if rows:
            layers = _beside(_rows(LAYERS, which.format("outcome_id"), asked))
            flaws = _beside(_rows(FLAWS, which.format("outcome_id"), asked))
            yield _read_of(rows, layers, flaws)


Piece = tuple[str, Sequence[int]]


def _ranges() -> Iterator[Piece]:
    ends = Outcome.everything.aggregate(first=Min("pk"), last=Max("pk"))
    if ends["first"] is not None:
        for start in range(ends["first"], ends["last"] + 1, READ_AT_ONCE):
            yield "{} BETWEEN %s AND %s", (start, start + READ_AT_ONCE - 1)


def _lists(keys: Sequence[int]) -> Iterator[Piece]:
    for piece in _pieces(keys):
        yield f"{{}} IN ({', '.join(['%s'] * len(piece))})", piece


def _rows(sql: str, which: str, asked: Sequence[int]) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(
            sql.format(day=DAY[connection.vendor], pictured=PICTURED, thickness=THICKNESS, which=which), asked
        )
        return cursor.fetchall()


def _beside(rows: Sequence[tuple[Any, ...]]) -> dict[int, tuple[tuple[Any, ...], ...]]:
    """For each outcome its rows of another table, without its key."""
    return {key: tuple(row[1:] for row in its) for key, its in groupby(rows, key=itemgetter(0))}


Beside = dict[int, tuple[tuple[Any, ...], ...]]


def _read_of(rows: Sequence[tuple[Any, ...]], layers: Beside, flaws: Beside) -> Read:
    columns = list(zip(*rows, strict=True))
    keys = columns[0]
    stacked = [layers.get(key, ()) for key in keys]
    flawed = [tuple(kind for (kind,) in flaws[key]) if key in flaws else () for key in keys]
    values = (
        list(zip(*columns[HEAT], strict=True)),
        list(zip(*columns[STACK], stacked, strict=True)),
        list(zip(*columns[SEEN], flawed, strict=True)),
        list(zip(*columns[RUN], strict=True)),
        list(zip(*columns[WARE], strict=True)),
        columns[SERIES],
        columns[GLOSS],
        list(zip(*columns[SAID], strict=True)),
        columns[THICK],
    )
    numbers, zones = columns[SORTED]
    return Read(keys, columns[DAYS], numbers, zones, columns[FIRINGS], columns[LAB], values)

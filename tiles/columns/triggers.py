"""The triggers by which a database notes every write that results depend on, whoever writes, in the same transaction.

They are the one place where a change is noted: services, bulk writes, imports, cascades and hands at the database's own
prompt go through them alike.
"""

from collections.abc import Iterator
from dataclasses import dataclass

LOG = "tiles_resultchange"
EVERYTHING, NAMES = "all", "names"
FUNCTION = "tiles_note_result_change"


@dataclass(frozen=True, slots=True)
class Watch:
    """Writes to a table that are noted.

    about : what is noted: an outcome, a tile, …; NAMES for words and kinds that are looked up
    key : the column that says which; empty where any change means the same
    columns : of an update, only one of these counts; empty for any
    only_updates : new and deleted rows change no result
    """

    table: str
    about: str
    key: str
    columns: tuple[str, ...] = ()
    only_updates: bool = False


WATCHED = (
    Watch("tiles_outcome", "outcome", "id"),
    Watch("tiles_stackedlayer", "outcome", "outcome_id"),
    Watch("tiles_flaw", "outcome", "outcome_id"),
    Watch("tiles_tile", "tile", "id", ("number", "series_id", "note", "binned_at"), only_updates=True),
    Watch("tiles_zone", "zone", "id", ("position", "tile_id"), only_updates=True),
    Watch("tiles_coverage", "zone", "zone_id", ("thickness_mm", "zone_id", "layer_id")),
    Watch("tiles_layer", "layer", "id", ("after_firings",), only_updates=True),
    Watch("tiles_photofiling", "tile", "tile_id"),
    Watch("tiles_photo", "photo", "id", ("binned_at",), only_updates=True),
    Watch("firings_firing", "firing", "id", ("number", "binned_at"), only_updates=True),
    Watch("firings_shelf", "shelf", "id", ("position",), only_updates=True),
    Watch("tiles_claybody", NAMES, "", ("name", "colour_family", "speckled")),
    Watch("tiles_glaze", NAMES, "", ("name", "kind")),
    Watch("tiles_glazebatch", NAMES, "", ("lot",)),
    Watch("tiles_series", NAMES, "", ("name",)),
    Watch("firings_kiln", NAMES, "", ("name",)),
)
EVENTS = {"insert": ("NEW",), "update": ("OLD", "NEW"), "delete": ("OLD",)}


def made_on_sqlite() -> Iterator[str]:
    """The statements that make the triggers on SQLite, each harmless where they stand already."""
    for watch, event, rows in _each():
        when = f"UPDATE OF {', '.join(watch.columns)}" if event == "update" and watch.columns else event
        noted = "".join(_noted(watch, row, "random()", "0") for row in _told_apart(watch, event, rows))
        yield f"CREATE TRIGGER IF NOT EXISTS {_name(watch, event)} AFTER {when} ON {watch.table} BEGIN {noted} END"


def made_on_postgresql() -> Iterator[str]:
    """The statements that make the triggers on PostgreSQL; what stands already is replaced.

    One function for all rows, and one for a table that is emptied by TRUNCATE.
    """
    yield f"""
        CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS $$
        DECLARE before_key bigint; after_key bigint;
        BEGIN
            IF TG_ARGV[1] = '' THEN
                after_key := 0;
            ELSE
                IF TG_OP <> 'INSERT' THEN before_key := (to_jsonb(OLD) ->> TG_ARGV[1])::bigint; END IF;
                IF TG_OP <> 'DELETE' THEN after_key := (to_jsonb(NEW) ->> TG_ARGV[1])::bigint; END IF;
            END IF;
            INSERT INTO {LOG} (about, key, stamp, on_transaction)
            SELECT TG_ARGV[0], noted.key, {_POSTGRESQL_STAMP}, {_POSTGRESQL_TRANSACTION}
            FROM (SELECT before_key UNION SELECT after_key) AS noted (key) WHERE noted.key IS NOT NULL;
            RETURN NULL;
        END $$"""  # nosec B608
    yield f"""
        CREATE OR REPLACE FUNCTION {FUNCTION}_all() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN {_everything(_POSTGRESQL_STAMP, _POSTGRESQL_TRANSACTION)}; RETURN NULL; END $$"""
    for watch, event, _ in _each():
        when = f"UPDATE OF {', '.join(watch.columns)}" if event == "update" and watch.columns else event
        yield (
            f"CREATE OR REPLACE TRIGGER {_name(watch, event)} AFTER {when} ON {watch.table} FOR EACH ROW "
            f"EXECUTE FUNCTION {FUNCTION}('{watch.about}', '{watch.key}')"
        )
    for watch in WATCHED:
        yield (
            f"CREATE OR REPLACE TRIGGER {_name(watch, 'truncate')} AFTER TRUNCATE ON {watch.table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {FUNCTION}_all()"
        )


def taken_off(vendor: str) -> Iterator[str]:
    """The statements that take the triggers off, as before tables are rebuilt."""
    if vendor == "postgresql":
        yield f"DROP FUNCTION IF EXISTS {FUNCTION}() CASCADE"
        yield f"DROP FUNCTION IF EXISTS {FUNCTION}_all() CASCADE"
    else:
        yield from (f"DROP TRIGGER IF EXISTS {_name(watch, event)}" for watch, event, _ in _each())


def made(vendor: str) -> Iterator[str]:
    """The statements that make the triggers."""
    return made_on_postgresql() if vendor == "postgresql" else made_on_sqlite()


def all_changed(vendor: str) -> str:
    """The statement that notes that anything may have changed."""
    if vendor == "postgresql":
        return _everything(_POSTGRESQL_STAMP, _POSTGRESQL_TRANSACTION)
    return _everything("random()", "0")


_POSTGRESQL_STAMP = "(random() * 9007199254740991)::bigint"
_POSTGRESQL_TRANSACTION = "pg_current_xact_id()::text::bigint"


def _everything(stamp: str, transaction: str) -> str:
    return _written(f"'{EVERYTHING}', 0, {stamp}, {transaction}")


def _each() -> Iterator[tuple[Watch, str, tuple[str, ...]]]:
    for watch in WATCHED:
        for event, rows in EVENTS.items():
            if event == "update" or not watch.only_updates:
                yield watch, event, rows


def _told_apart(watch: Watch, event: str, rows: tuple[str, ...]) -> tuple[str, ...]:
    """A key that is the row's own, or none, is noted once; one that may be changed, before and after."""
    return rows[:1] if event == "update" and watch.key in ("id", "") else rows


def _noted(watch: Watch, row: str, stamp: str, transaction: str) -> str:
    key = f"{row}.{watch.key}" if watch.key else "0"
    return _written(f"'{watch.about}', {key}, {stamp}, {transaction}") + ";"


def _written(values: str) -> str:
    # All of it is written in this module.
    return f"INSERT INTO {LOG} (about, key, stamp, on_transaction) VALUES ({values})"  # nosec B608


def _name(watch: Watch, event: str) -> str:
    return f"{watch.table}_{event}_noted"

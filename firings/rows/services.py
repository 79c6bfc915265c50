"""Rows of tables written by the thousand: no model's save, no form; history is copied by the database itself."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

from django.db import connection, models
from django.utils import timezone

from firings.models import User

AT_ONCE = 5_000
# Fewer than any database lets stand in one list.
KEYS_AT_ONCE = 900

Keys = Sequence[int]


def reserve(model: type[models.Model], count: int) -> Keys:
    """So many keys of a table that nobody else is given.

    SQLite's transactions write one after the other, so its next keys are free. On PostgreSQL they are taken from the
    sequence, whoever else takes some meanwhile.
    """
    table = model._meta.db_table
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            sql = "SELECT nextval(pg_get_serial_sequence(%s, 'id')) FROM generate_series(1, %s)"
            cursor.execute(sql, [f'"{table}"', count])
            return [key for (key,) in cursor.fetchall()]
        # The name of a table is its model's own.
        cursor.execute(
            f"SELECT max(coalesce((SELECT max(id) FROM {table}), 0),"  # nosec B608
            " coalesce((SELECT seq FROM sqlite_sequence WHERE name = %s), 0))",
            [table],
        )
        first = cursor.fetchone()[0] + 1
    return range(first, first + count)


def insert(model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Rows of a table as tuples of some columns; every other column holds its model's default."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    others = [field for name, field in fields.items() if name not in names and not field.primary_key]
    constants = tuple(field.get_db_prep_save(field.get_default(), connection) for field in others)
    columns = ", ".join(f'"{fields[name].column}"' for name in names)
    columns += "".join(f', "{field.column}"' for field in others)
    full = (row + constants for row in _prepared([fields[name] for name in names], rows))
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f'COPY "{model._meta.db_table}" ({columns}) FROM STDIN') as copy:
                for row in full:
                    copy.write_row(row)
            return
        places = ", ".join(["%s"] * (len(names) + len(others)))
        # Names of tables and columns are the models' own.
        sql = f'INSERT INTO "{model._meta.db_table}" ({columns}) VALUES ({places})'  # nosec B608
        while batch := list(islice(full, AT_ONCE)):
            cursor.executemany(sql, batch)


def _prepared(fields: Sequence[Any], rows: Iterable[Sequence[Any]]) -> Iterator[tuple[Any, ...]]:
    """Values as the database takes them; of dates and figures each is worked out once."""
    kinds = (models.DecimalField, models.DateField, models.TimeField)
    special = [(place, _remembering(field)) for place, field in enumerate(fields) if isinstance(field, kinds)]
    if not special:
        yield from map(tuple, rows)
        return
    for row in rows:
        ready = list(row)
        for place, prepare in special:
            if (value := ready[place]) is not None:
                ready[place] = prepare(value)
        yield tuple(ready)


def _remembering(field: Any) -> Callable[[Any], Any]:
    known: dict[Any, Any] = {}

    def prepared(value: Any) -> Any:
        found = known.get(value)
        if found is None:
            found = known[value] = field.get_db_prep_save(value, connection)
        return found

    return prepared


def note(model: type[models.Model], keys: Keys, kind: str, *, by: User) -> None:
    """Write into history how these records stand now; `kind` is + for made, ~ for changed."""
    history = model.history.model._meta  # type: ignore[attr-defined]
    own = {field.attname for field in model._meta.concrete_fields}
    columns = ", ".join(f'"{field.column}"' for field in history.concrete_fields if field.attname in own)
    # Names of tables and columns are the models' own.
    sql = (
        f'INSERT INTO "{history.db_table}" ({columns}, "history_date", "history_type", "history_user_id") '  # nosec B608
        f'SELECT {columns}, %s, %s, %s FROM "{model._meta.db_table}" WHERE '
    )
    moment = connection.ops.adapt_datetimefield_value(timezone.now())
    with connection.cursor() as cursor:
        for condition, told in _chosen(keys):
            cursor.execute(f"{sql}{condition} ORDER BY id", [moment, kind, by and by.pk, *told])


def _chosen(keys: Keys) -> Iterator[tuple[str, list[Any]]]:
    """Conditions that hold for these keys, and no other."""
    if not keys:
        return
    if isinstance(keys, range):
        yield "id BETWEEN %s AND %s", [keys[0], keys[-1]]
    elif connection.vendor == "postgresql":
        yield "id = ANY(%s)", [list(keys)]
    else:
        for start in range(0, len(keys), KEYS_AT_ONCE):
            some = list(keys[start : start + KEYS_AT_ONCE])
            yield f"id IN ({', '.join(['%s'] * len(some))})", some


def erase(model: type[models.Model], column: str, keys: Sequence[int]) -> None:
    """Strike rows out as if they had never been, and say so nowhere; for what nobody has seen."""
    # Names of tables and columns are the models' own.
    sql = f'DELETE FROM "{model._meta.db_table}" WHERE "{column}" IN '  # nosec B608
    with connection.cursor() as cursor:
        for start in range(0, len(keys), KEYS_AT_ONCE):
            some = list(keys[start : start + KEYS_AT_ONCE])
            cursor.execute(f"{sql}({', '.join(['%s'] * len(some))})", some)


def change(model: type[models.Model], keys: Keys, values: dict[str, Any], *, by: User) -> None:
    """Give kept records these values, with a step of their stamps and a line in their history."""
    for start in range(0, len(keys), KEYS_AT_ONCE):
        some = model._base_manager.filter(pk__in=keys[start : start + KEYS_AT_ONCE])
        some.update(**values, stamp=models.F("stamp") + 1)
    note(model, keys, "~", by=by)


def rewrite(
    model: type[models.Model], names: Sequence[str], changes: Iterable[tuple[tuple[Any, ...], int, int]]
) -> int:
    """Give kept records other values of some columns, with a step of their stamps; how many had the stamp told.

    changes : for each record its values, its key, and the stamp it must still have
    """
    fields = {field.attname: field for field in model._meta.concrete_fields}
    told = list(changes)
    ready = _prepared([fields[name] for name in names], (values for values, _, _ in told))
    sets = ", ".join(f'"{fields[name].column}" = %s' for name in names)
    # Names of tables and columns are the models' own.
    sql = f'UPDATE "{model._meta.db_table}" SET {sets}, stamp = stamp + 1 WHERE id = %s AND stamp = %s'  # nosec B608
    rows = [(*values, key, stamp) for values, (_, key, stamp) in zip(ready, told, strict=True)]
    with connection.cursor() as cursor:
        cursor.executemany(sql, rows)
        return int(cursor.rowcount)


def put_back(
    model: type[models.Model], versions: Keys, keys: Keys, leave: Sequence[str], *, by: User
) -> None:
    """Give records the values of these versions of their history, but for the columns to leave, as one more step."""
    history = model.history.model._meta  # type: ignore[attr-defined]
    kept = {field.attname for field in history.concrete_fields}
    columns = [
        field.column
        for field in model._meta.concrete_fields
        if field.attname in kept and field.attname not in (*leave, "id", "stamp")
    ]
    sets = ", ".join(f'"{column}" = earlier."{column}"' for column in columns)
    table = model._meta.db_table
    with connection.cursor() as cursor:
        for start in range(0, len(versions), KEYS_AT_ONCE):
            some = list(versions[start : start + KEYS_AT_ONCE])
            places = ", ".join(["%s"] * len(some))
            # Names of tables and columns are the models' own.
            cursor.execute(
                f'UPDATE "{table}" SET {sets}, stamp = "{table}".stamp + 1 FROM "{history.db_table}" AS earlier '  # nosec B608
                f'WHERE earlier.id = "{table}".id AND earlier.history_id IN ({places})',
                some,
            )
    note(model, keys, "~", by=by)


def latest_versions(model: type[models.Model], keys: Keys) -> dict[int, int]:
    """For each record the key of its last version, where it has a history."""
    found: dict[int, int] = {}
    for start in range(0, len(keys), KEYS_AT_ONCE):
        some = keys[start : start + KEYS_AT_ONCE]
        rows = model.history.filter(id__in=some).order_by()  # type: ignore[attr-defined]
        found |= dict(rows.values_list("id").annotate(last=models.Max("history_id")))
    return found

"""Questions about many records by their keys, whose SQL is written once: writing it costs more than asking it."""

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import Func, QuerySet, TextField, Value
from django.db.models.sql.compiler import SQLCompiler


class KeysIn(Func):
    """Keys as rows, whatever their number: one value goes to the database, not one for each key."""

    output_field = TextField()

    def __init__(self, keys: Iterable[int]) -> None:
        super().__init__(Value(json.dumps([*keys]), output_field=TextField()))

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        return self.as_sql(
            compiler, connection, template="(SELECT value FROM json_each(%(expressions)s))", **more
        )

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        template = "(SELECT value::bigint FROM json_array_elements_text(%(expressions)s::json))"
        return self.as_sql(compiler, connection, template=template, **more)


# Stands for the keys while the SQL is written; no record has such a key.
_STAND_IN = (-1,)


@dataclass(frozen=True, slots=True)
class _Written:
    """SQL and its values, those of the keys among them, and what makes of a row what its fields would."""

    sql: str
    values: tuple[Any, ...]
    compiler: SQLCompiler
    converters: dict[int, Any]

    def asked(self, keys: Iterable[int]) -> list[tuple[Any, ...]]:
        stand_in, wanted = json.dumps(_STAND_IN), json.dumps([*keys])
        values = [wanted if value == stand_in else value for value in self.values]
        with connection.cursor() as cursor:
            cursor.execute(self.sql, values)
            rows = cursor.fetchall()
        return [tuple(row) for row in self.compiler.apply_converters(rows, self.converters)]


class Prepared:
    """The rows that a queryset of `values_list` gives for some keys.

    >>> tiles = Prepared(lambda keys: Tile.objects.filter(pk__in=keys).values_list("pk", "number"))
    """

    def __init__(self, ask: Callable[[KeysIn], QuerySet[Any]]) -> None:
        self._ask = ask
        self._by_vendor: dict[str, _Written] = {}

    def rows(self, keys: Iterable[int]) -> list[tuple[Any, ...]]:
        """One query, whatever the number of keys."""
        vendor = connection.vendor
        if vendor not in self._by_vendor:
            self._by_vendor[vendor] = self._write()
        return self._by_vendor[vendor].asked(keys)

    def _write(self) -> _Written:
        compiler = self._ask(KeysIn(_STAND_IN)).query.get_compiler(connection=connection)
        sql, values = compiler.as_sql()
        return _Written(
            sql, tuple(values), compiler, compiler.get_converters([one for one, *_ in compiler.select])
        )

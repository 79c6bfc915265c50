"""Questions about many records by their keys, whose SQL is written once: writing it costs more than asking it."""

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import BooleanField, F, Func, QuerySet, TextField, Value
from django.db.models.sql.compiler import SQLCompiler


class Among(Func):
    """Whether a column holds one of some keys, whatever their number: one value goes to the database.

    PostgreSQL is given an array, whose length it knows when it chooses a plan. Of rows taken out of JSON it knows
    nothing, and reads whole tables (0.25 s instead of 13 ms for 48 cards at 100,000 results).
    """

    output_field = BooleanField()

    def __init__(self, column: str, keys: Iterable[int]) -> None:
        super().__init__(F(column), Value(json.dumps([*keys]), output_field=TextField()))

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        joiner = " IN (SELECT value FROM json_each("
        return self.as_sql(compiler, connection, template="(%(expressions)s)))", arg_joiner=joiner, **more)

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        template = "(%(expressions)s, '[]', '{}')::bigint[]))"
        return self.as_sql(compiler, connection, template=template, arg_joiner=" = ANY(translate(", **more)


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
        if not self.converters:
            return rows
        return [tuple(row) for row in self.compiler.apply_converters(rows, self.converters)]


class Prepared:
    """The rows that a queryset of `values_list` gives for some keys.

    >>> tiles = Prepared(lambda among: Tile.objects.filter(among("pk")).values_list("pk", "number"))
    """

    def __init__(self, ask: Callable[[Callable[[str], Among]], QuerySet[Any]]) -> None:
        self._ask = ask
        self._by_vendor: dict[str, _Written] = {}

    def rows(self, keys: Iterable[int]) -> list[tuple[Any, ...]]:
        """One query, whatever the number of keys."""
        vendor = connection.vendor
        if vendor not in self._by_vendor:
            self._by_vendor[vendor] = self._write()
        return self._by_vendor[vendor].asked(keys)

    def _write(self) -> _Written:
        compiler = self._ask(lambda column: Among(column, _STAND_IN)).query.get_compiler(
            connection=connection
        )
        sql, values = compiler.as_sql()
        return _Written(
            sql, tuple(values), compiler, compiler.get_converters([one for one, *_ in compiler.select])
        )

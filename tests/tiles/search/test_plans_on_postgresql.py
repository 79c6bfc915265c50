"""PostgreSQL is given the keys of cards as one array, whose length it knows when it chooses its plan."""

import json

import pytest
from django.db import connection

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tiles.apart import queries as apart
from tiles.conditions import queries as conditions
from tiles.search.cards import queries as cards

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="the plan is PostgreSQL's"),
]
BY_KEYS = {
    "rows": cards._ROWS,
    "layers": conditions._STACKED,
    "flaws": cards._FLAWS,
    "filings": cards._FILINGS,
    "results at a level": apart._STANDING,
}


def plan_of(prepared, keys: list[int]) -> str:
    written = prepared._question.here()
    values = [json.dumps(keys) if value == "[-1]" else value for value in written.values]
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN {written.sql}", values)
        return "\n".join(row[0] for row in cursor.fetchall())


@pytest.mark.parametrize("name", BY_KEYS)
def test_the_number_of_keys_is_known_when_the_plan_is_chosen(name):
    """Keys that a function gives out row by row are joined last, after whole tables are read."""
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 3": 3}))
    keys = [outcome.pk for outcome in fired_outcomes(tile, FiringFactory(fired=True))]
    assert keys

    plan = plan_of(BY_KEYS[name], keys)

    # Which index leads there depends on how full the tables are; that the keys are one array does not.
    assert " = ANY (" in plan
    assert not any(word in plan for word in ("Function Scan", "ProjectSet", "json")), plan

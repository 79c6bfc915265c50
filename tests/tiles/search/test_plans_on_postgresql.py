"""PostgreSQL finds the rows of cards by their keys, whatever the number of keys, and reads no whole table for them."""

import json

import pytest
from django.db import connection

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tiles.search.cards import queries as cards

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="the plan is PostgreSQL's"),
]
BY_KEYS = {
    "rows": cards._ROWS,
    "layers": cards._LAYERS,
    "flaws": cards._FLAWS,
    "filings": cards._FILINGS,
}


def plan_of(prepared, keys: list[int]) -> str:
    prepared.rows(keys)
    written = prepared._by_vendor[connection.vendor]
    values = [json.dumps(keys) if value == "[-1]" else value for value in written.values]
    with connection.cursor() as cursor:
        # As good as a full table, where passing over all rows is never the cheaper way.
        cursor.execute("SET LOCAL enable_seqscan = off")
        cursor.execute(f"EXPLAIN {written.sql}", values)
        return "\n".join(row[0] for row in cursor.fetchall())


@pytest.mark.parametrize("name", BY_KEYS)
def test_keys_lead_to_rows_by_an_index(name):
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 3": 3}))
    keys = [outcome.pk for outcome in fired_outcomes(tile, FiringFactory(fired=True))]
    assert keys

    plan = plan_of(BY_KEYS[name], keys)

    assert "= ANY (" in "".join(line for line in plan.splitlines() if "Index Cond" in line), plan
    assert "Seq Scan" not in plan.split("\n", 1)[0]

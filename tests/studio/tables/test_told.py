"""Values compared across databases: the same value tells the same, another one does not."""

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from studio.tables.told import fingerprint, told

VALUES = some.one_of(
    some.none(),
    some.integers(),
    some.text(),
    some.decimals(allow_nan=False, allow_infinity=False),
    some.dates(),
)


@pytest.mark.parametrize(
    ("one", "same"),
    [
        (Decimal("1.50"), Decimal("1.5")),
        (Decimal("100"), Decimal("1E+2")),
        (True, 1),
        (
            datetime(2026, 11, 25, 12, tzinfo=UTC),
            datetime(2026, 11, 25, 14, tzinfo=timezone(timedelta(hours=2))),
        ),
        ({"a": 1, "b": [2]}, {"b": [2], "a": 1}),
        (b"curve", memoryview(b"curve")),
    ],
)
def test_the_same_value_tells_the_same(one, same):
    assert told(one) == told(same)


@pytest.mark.parametrize(
    ("one", "other"), [(None, ""), (0.1, 0.10000000000000002), ("1", "1 "), (b"a", b"b")]
)
def test_another_value_tells_another(one, other):
    assert told(one) != told(other)


@given(some.lists(some.tuples(VALUES, VALUES), max_size=6), some.integers(0, 5))
def test_a_table_that_lost_or_gained_a_row_is_found(rows, at):
    changed = [*rows[:at], ("another", "row"), *rows[at:]]

    assert fingerprint(rows) == fingerprint(iter(rows))
    assert fingerprint(changed) != fingerprint(rows)

"""Values as cells and back: nothing lost, nothing that a spreadsheet would run."""

import csv
import io
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from studio.export import cells

MOMENTS = some.datetimes(min_value=datetime(1900, 1, 1), timezones=some.just(UTC))
JSON = some.recursive(
    some.none() | some.booleans() | some.integers() | some.text(),
    lambda inner: some.lists(inner) | some.dictionaries(some.text(), inner),
    max_leaves=8,
)
KINDS = {
    "integer": some.integers(),
    "number": some.decimals(allow_nan=False, allow_infinity=False, places=4)
    | some.floats(allow_nan=False, allow_infinity=False),
    "boolean": some.booleans(),
    "string": some.text(some.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1),
    "any": JSON.filter(lambda value: value is not None),
    "date": some.dates(),
    "datetime": MOMENTS,
    "binary": some.binary(min_size=1),
}


@pytest.mark.parametrize("kind", KINDS)
@given(some.data())
def test_a_value_comes_back_through_a_csv_file_as_it_was(kind, data):
    value = data.draw(KINDS[kind])
    file = io.StringIO(newline="")
    csv.writer(file).writerow([cells.cell(kind, value)])
    file.seek(0)
    [[written]] = csv.reader(file)

    read = cells.value(kind, written)
    assert (float(read) if isinstance(value, float) else read) == value
    assert written[:1] not in ("=", "+", "@", "\t", "\r") or kind in ("integer", "number", "binary")


@given(some.text())
def test_no_text_is_run_by_a_spreadsheet(text):
    # OWASP, "CSV injection": what begins a formula.
    assert not cells.inert(text).startswith(("=", "+", "-", "@", "\t", "\r"))


@pytest.mark.parametrize(
    ("kind", "written", "words"),
    [
        ("integer", "1.5", "no whole number"),
        ("number", "one", "no number"),
        ("number", "NaN", "no number"),
        ("boolean", "True", "no true or false"),
        ("date", "25.11.2026", "no date such as"),
        ("datetime", "yesterday", "no moment such as"),
        ("any", "{", "no JSON"),
        ("binary", "%", "no base64"),
    ],
)
def test_what_is_of_another_kind_is_refused_in_words(kind, written, words):
    with pytest.raises(ValueError, match=words):
        cells.value(kind, written)


def test_an_empty_cell_is_no_value():
    assert [cells.value(kind, "") for kind in KINDS] == [None] * len(KINDS)
    assert cells.cell("number", Decimal("1E+2")) == "100"

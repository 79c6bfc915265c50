"""The planner's engine at the command line."""

import io
import json
from itertools import combinations

import pytest
from django.core.management import CommandError, call_command


def answer(*words: str) -> str:
    out = io.StringIO()
    call_command("cover", *words, stdout=out)
    return out.getvalue()


def test_rows_are_one_level_index_per_factor():
    rows = json.loads(answer("--levels", "3,3,4", "--strength", "2", "--json"))["rows"]

    assert len(rows) == 12
    for a, b in combinations(range(3), 2):
        assert len({(row[a], row[b]) for row in rows}) == [3, 3, 4][a] * [3, 3, 4][b]


def test_the_answer_is_one_json_object_and_nothing_else():
    assert set(json.loads(answer("--levels=2,2", "--json"))) == {"rows"}


def test_three_conditions_meet():
    assert len(json.loads(answer("--levels=2,2,2,2", "--strength=3", "--json"))["rows"]) == 8


def test_rules_and_tiles_that_exist_count():
    asked = ("--levels=2,2", "--never", "0:1,1:1", "--exists", "0,0", "--json")

    assert json.loads(answer(*asked))["rows"] == [[0, 1], [1, 0]]


def test_a_person_reads_rows_and_how_good_they_are():
    assert "9 rows for 4 factors, orthogonal array; no plan has fewer" in answer("--levels=3,3,3,3")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--levels=3,x",), "not whole numbers"),
        (("--levels=3,3", "--strength=5"), "Strength is 1, 2 or 3"),
        (("--levels=3,-1",), "1 to 20 levels"),
        (("--levels=3",), "add a factor"),
        (("--levels=2,2", "--never=0-1"), "FACTOR:LEVEL"),
        (("--levels=2,2", "--exists=0,9"), "exists"),
    ],
)
def test_what_cannot_be_read_or_planned_is_said(words, says):
    with pytest.raises(CommandError, match=says):
        answer(*words)

import csv
import io
import json

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tests.tiles.search.studios import lay_studio
from tiles.conditions.line import conditions_line
from tiles.conditions.queries import conditions_of
from tiles.download.queries import rows_in_order
from tiles.download.rows import cell
from tiles.download.views import COLUMNS
from tiles.models import Outcome
from tiles.search.queries import results, search

pytestmark = pytest.mark.django_db


def table(answer) -> list[dict[str, str]]:
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def listed(answer) -> list[dict]:
    return json.loads(b"".join(answer.streaming_content))["results"]


@pytest.fixture
def harbour():
    tile = TileFactory(note="")
    glaze_tile(tile, (GlazeFactory(name="Harbour"), {"band 1": 2}))
    return fired_outcomes(tile, FiringFactory(fired=True))[0]


def test_a_result_reads_in_the_file_as_on_its_tile(viewer_client, harbour):
    found = Outcome.objects.for_display().get(pk=harbour.pk)
    line = conditions_line(conditions_of(found))

    assert table(viewer_client.get("/results.csv"))[0]["conditions"] == line
    assert listed(viewer_client.get("/results.json"))[0]["conditions"] == line


def test_a_remark_that_looks_like_a_formula_is_no_formula_in_a_spreadsheet(viewer_client, harbour):
    Outcome.objects.filter(pk=harbour.pk).update(
        remark='=HYPERLINK("x")', lab_l=40, lab_a=-3.5, lab_b=1, lab_basis="instrument"
    )

    row = table(viewer_client.get("/results.csv"))[0]

    assert row["remark"] == '\'=HYPERLINK("x")'
    assert row["colour_lab_d50_a"] == "-3.5"


@given(st.text(alphabet="=+-@\t\r\nab;\"',"))
def test_no_cell_of_words_begins_as_a_formula_does(words):
    assert not cell(words).startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


def test_the_columns_are_those_of_a_result(viewer_client, harbour):
    assert set(COLUMNS) == set(listed(viewer_client.get("/results.json"))[0])


@pytest.mark.parametrize("ending", ["csv", "json"])
def test_a_filter_that_cannot_be_read_gives_no_file_of_too_much(viewer_client, harbour, ending):
    answer = viewer_client.get(f"/results.{ending}?cone=warm")

    assert answer.status_code == 422
    assert "Cone" in answer.content.decode()


ASKED = (
    *("cone=6", "cone=5–7", "coats=1–2", "stack=layered", "flaw=crazing", "judged=yes", "q=honey", "hold=10"),
    *("atmosphere=oxidation", "sort=number", "sort=run", "run=0.1–5", "no_flaw=crazing", "texture=yes"),
)
QUESTIONS = st.lists(st.sampled_from(ASKED), max_size=3)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data(), QUESTIONS)
def test_files_hold_what_the_page_finds_in_its_order(viewer_client, data, questions):
    with transaction.atomic():
        lay_studio(data.draw)
        query = "&".join(questions)
        shown = [outcome.pk for outcome in results(query)]

        assert [row["result"] for row in rows_in_order(search(query))] == shown
        assert [int(row["result"]) for row in table(viewer_client.get(f"/results.csv?{query}"))] == shown
        assert [row["result"] for row in listed(viewer_client.get(f"/results.json?{query}"))] == shown
        transaction.set_rollback(True)

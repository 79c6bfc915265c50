"""Changing and printing many results, as it is done in the browser."""

import re

import pytest
from django.contrib.messages import get_messages
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tiles import numbers
from tiles.models import Outcome, PrintItem
from tiles.together import queries
from tiles.unloading.judgement import Judgement
from tiles.unloading.services import judge_zones

pytestmark = pytest.mark.django_db

CHANGE = "/results/together/change/"
HARBOUR_AT_6 = "cone=6&stack=alone"


def words(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def made(tiles: int) -> list[Outcome]:
    firing, glaze = FiringFactory(fired=True), GlazeFactory(name="Harbour")
    outcomes = []
    for number in range(71042, 71042 + tiles):
        tile = glaze_tile(TileFactory(number=number), (glaze, {"band 1": 2, "band 2": 3}))
        outcomes += fired_outcomes(tile, firing)
    return outcomes


@pytest.fixture
def outcomes(recorder) -> list[Outcome]:
    found = made(2)
    judge_zones(
        {one.pk: Judgement("satin", "opaque") for one in found}, {one.pk: None for one in found}, by=recorder
    )
    return found


def ticks(client: Client, query: str = "") -> list[str]:
    page = client.get(f"/results/together/?{query}").content.decode()
    return re.findall(r'name="r"\s+value="([^"]+)"', page)


def looked(answer) -> str:
    return re.search(r'name="looked" value="([^"]+)"', answer.content.decode())[1]


def changed(client: Client, sent: dict, query: str = ""):
    """Look over, then change."""
    look = client.post(f"{CHANGE}?{query}", sent)
    return look, client.post(f"{CHANGE}?{query}", {**sent, "looked": looked(look)})


def undo_of(answer) -> str:
    return next(str(message.extra_tags) for message in get_messages(answer.wsgi_request))


def test_the_page_lists_what_was_found_all_ticked(recorder_client, outcomes):
    page = words(recorder_client.get("/results/together/?stack=alone"))

    assert "4 results with these filters" in page
    assert "one glaze alone" in page
    assert len(ticks(recorder_client)) == 4


def test_first_it_is_said_how_many_change_then_they_change_and_the_filter_stays(recorder_client, outcomes):
    sent = {"r": ticks(recorder_client)[:3], "verdict": "retest"}

    look, answer = changed(recorder_client, sent, "stack=alone")

    assert "3 results will change." in words(look)
    assert "Verdict: test again" in words(look)
    assert answer.headers["Location"] == "/results/?stack=alone"
    assert Outcome.objects.filter(verdict="retest").count() == 3


def test_one_press_takes_the_whole_change_back_and_the_filter_stays(recorder_client, outcomes):
    _, answer = changed(recorder_client, {"r": ticks(recorder_client), "surface": "dry"}, "stack=alone")
    undo = undo_of(answer)

    back = recorder_client.post(undo)

    assert back.headers["Location"] == "/results/?stack=alone"
    assert Outcome.objects.filter(surface="satin").count() == 4
    assert "4 results as before." in words(recorder_client.get(back.headers["Location"]))


def test_what_was_judged_again_since_is_named_and_left(recorder_client, keeper, outcomes):
    _, answer = changed(recorder_client, {"r": ticks(recorder_client), "surface": "dry"})
    undo = undo_of(answer)
    one = Outcome.objects.get(pk=outcomes[0].pk)
    judge_zones({one.pk: Judgement("matt")}, {one.pk: one.judged_at}, by=keeper)

    page = words(recorder_client.get(recorder_client.post(undo).headers["Location"]))

    assert "3 results as before." in page
    assert "Judged again since, and left so: 71042-2 band 1." in page
    assert sorted(Outcome.objects.values_list("surface", flat=True)) == ["matt", "satin", "satin", "satin"]


def test_a_change_is_made_only_as_it_was_looked_over(recorder_client, outcomes):
    sent = {"r": ticks(recorder_client), "verdict": "keep"}
    look = recorder_client.post(CHANGE, sent)

    answer = recorder_client.post(CHANGE, {**sent, "verdict": "reject", "looked": looked(look)})

    assert "Verdict: leave it" in words(answer)
    assert not Outcome.objects.exclude(verdict="").exists()


def test_what_somebody_judged_meanwhile_is_named_and_nothing_typed_is_lost(recorder_client, keeper, outcomes):
    sent = {"r": ticks(recorder_client), "remark": "Rub it with a wire brush."}
    look = recorder_client.post(CHANGE, sent)
    one = Outcome.objects.get(pk=outcomes[0].pk)
    judge_zones({one.pk: Judgement("matt")}, {one.pk: one.judged_at}, by=keeper)

    answer = recorder_client.post(CHANGE, {**sent, "looked": looked(look)})

    assert answer.status_code == 409
    assert "Judged by somebody else meanwhile: 71042-2 band 1." in words(answer)
    assert "Rub it with a wire brush." in words(answer)
    assert not Outcome.objects.exclude(remark="").exists()


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"verdict": "keep"}, "Tick at least one result."),
        ({"verdict": "keep", "r": ["nonsense", "1", "9" * 30 + ".1"]}, "Tick at least one result."),
        ({"r": ["1.0"]}, "Say what to change"),
        ({"r": ["1.0"], "surface": "woolly"}, "woolly"),
        ({"r": ["1.0"], "remark": "x" * 501}, "500"),
    ],
)
def test_what_cannot_be_done_is_said_and_changes_nothing(recorder_client, outcomes, sent, said):
    answer = recorder_client.post(CHANGE, sent)

    assert answer.status_code == 422
    assert said in words(answer)


def test_more_than_the_bound_is_refused_in_words(recorder_client, outcomes, monkeypatch):
    monkeypatch.setattr(queries, "MOST", 3)
    sent = {"r": [f"{one.pk}.0" for one in outcomes], "verdict": "keep"}

    page, answer = recorder_client.get("/results/together/"), recorder_client.post(CHANGE, sent)

    assert "At most 3 results are changed at once" in words(page)
    assert answer.status_code == 422
    assert not Outcome.objects.filter(verdict="keep").exists()


def test_a_viewer_prints_but_changes_nothing(viewer_client, outcomes):
    page = words(viewer_client.get("/results/together/"))

    assert "Change what was seen" not in page
    assert "Print" in page
    assert viewer_client.post(CHANGE, {"r": ["1.0"], "verdict": "keep"}).status_code == 403


def test_ticked_results_go_to_print_each_tile_once(viewer_client, viewer, outcomes):
    sent = {"r": ticks(viewer_client)[:2], "of": "ticked", "kind": "cards"}

    answer = viewer_client.post("/results/together/print/?stack=alone", sent)

    item = PrintItem.objects.get(person=viewer)
    assert answer.headers["Location"] == "/results/?stack=alone"
    assert (item.kind, item.keys) == ("cards", [numbers.write(71043)])


def test_all_that_was_found_goes_to_print_and_comes_out_in_one_step(viewer_client, viewer, outcomes):
    viewer_client.post("/results/together/print/", {"kind": "labels"})
    answer = viewer_client.post("/results/together/print/", {"kind": "labels"})
    items = PrintItem.objects.filter(person=viewer, taken_out_at=None)
    assert [len(item.keys) for item in items] == [2, 2]

    viewer_client.post(undo_of(answer))

    assert items.all().count() == 1


def test_nothing_found_prints_nothing_and_says_so(viewer_client, outcomes):
    answer = viewer_client.post("/results/together/print/?cone=04", {"kind": "cards"})

    assert answer.status_code == 422
    assert not PrintItem.objects.exists()


def test_the_results_page_leads_to_files_and_print_of_just_this_search(viewer_client, outcomes):
    page = viewer_client.get("/results/?stack=alone&view=list").content.decode()

    assert 'href="/results.csv?stack=alone"' in page
    assert 'href="/results.json?stack=alone"' in page
    assert 'href="/results/together/?stack=alone"' in page
    assert 'action="/results/together/print/?stack=alone"' in page


def test_more_results_take_no_more_queries(recorder_client, outcomes):
    made_more = made_later(6)
    with_few = queries_of(recorder_client, outcomes[:2])
    with_many = queries_of(recorder_client, [*outcomes, *made_more])

    assert with_few == with_many


def made_later(tiles: int) -> list[Outcome]:
    firing, glaze = FiringFactory(fired=True), GlazeFactory()
    return [
        outcome
        for number in range(71100, 71100 + tiles)
        for outcome in fired_outcomes(glaze_tile(TileFactory(number=number), (glaze, {"band 1": 2})), firing)
    ]


def queries_of(client: Client, outcomes: list[Outcome]) -> tuple[int, int]:
    """How many queries the page with these results takes, and looking a change of them over."""
    firings = "&".join(f"firing={number}" for number in {one.firing.number for one in outcomes})
    with CaptureQueriesContext(connection) as page:
        client.get(f"/results/together/?{firings}")
    sent = {"r": [f"{one.pk}.0" for one in outcomes], "surface": "dry"}
    with CaptureQueriesContext(connection) as look:
        client.post(f"{CHANGE}?{firings}", sent)
    return len(page), len(look)

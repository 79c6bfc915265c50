"""Pages over results held in memory: as many queries with many results as with few."""

import pytest
from django.test import Client

from tests.counting import queries_of
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.columns import queries
from tiles.columns.answers import MOST_KEPT, Answers
from tiles.models import Flaw, Outcome
from tiles.search.counting.queries import facet_counts
from tiles.search.queries import names_of

pytestmark = pytest.mark.django_db(transaction=True)


def fire(count: int) -> list[Outcome]:
    return [
        outcome
        for _ in range(count)
        for outcome in fired_outcomes(
            glaze_tile(TileFactory(body=ClayBodyFactory()), (GlazeFactory(), {"band 1": 2, "band 2": 3})),
            FiringFactory(fired=True),
        )
    ]


@pytest.mark.parametrize(
    "asked", ["", "?cone=6&flaw=none&flaw=crazing", "?view=list", "?near=39+24+33&sort=nearest"]
)
def test_a_page_of_results_asks_no_more_with_more_results(viewer_client: Client, asked: str):
    for outcome in fire(2):
        Flaw.objects.create(outcome=outcome, kind="crazing")
    Outcome.objects.update(lab_l=39, lab_a=24, lab_b=33, lab_basis="chart")
    viewer_client.get(f"/results/{asked}")
    few = queries_of(viewer_client, f"/results/{asked}")
    for outcome in fire(10):
        Flaw.objects.create(outcome=outcome, kind="crazing")
    Outcome.objects.update(lab_l=39, lab_a=24, lab_b=33, lab_basis="chart")
    viewer_client.get(f"/results/{asked}")

    assert queries.standing() is not None
    assert queries_of(viewer_client, f"/results/{asked}") == few


def test_choices_are_called_alike_from_memory_and_from_the_database():
    glaze = fire(2)[0].top_glaze
    lot = GlazeBatchFactory(glaze=glaze, lot="26-007")
    glaze.put_in_bin(by=None)
    keys = {*map(str, range(1, 9)), str(glaze.pk), str(lot.pk), "nonsense"}
    values = dict.fromkeys(("glaze", "top", "over", "under", "body", "kiln", "series", "lot"), keys)

    assert names_of(values, queries.standing()) == names_of(values)
    assert names_of(values)["lot"][str(lot.pk)] == f"{glaze.name} 26-007"


def test_a_page_shows_what_was_written_a_moment_ago(recorder_client: Client):
    outcome = fire(1)[0]
    assert "not judged yet" in recorder_client.get("/results/").content.decode()
    Outcome.objects.update(surface="satin", judged_at="2026-03-01T12:00Z")

    page = recorder_client.get("/results/?surface=satin").content.decode()
    assert "<strong>2 results" in " ".join(page.split())
    assert outcome.tile.label in page
    assert "not judged yet" not in page.split('id="found"')[1]


def test_a_slip_in_a_name_is_forgiven_where_nothing_begins_so(viewer_client: Client):
    fired_outcomes(
        glaze_tile(TileFactory(note="harbinger"), (GlazeFactory(name="Harbour blue"), {"band 1": 1})),
        FiringFactory(fired=True),
    )
    fire(1)
    held = [len(viewer_client.get(f"/results/?q={typed}").context["shown"].page) for typed in SLIPS]

    assert held == [*SLIPS.values()]


# What is typed, and how many results say it.
SLIPS = {"harbuor": 1, "harb": 1, "blu": 1, "lue": 0, "harbours": 1, "hxrbxur": 0, "harbinger": 1, "zzz": 0}


def test_the_next_page_of_a_search_is_not_counted_anew_and_after_a_write_it_is(
    viewer_client: Client, monkeypatch: pytest.MonkeyPatch
):
    glossy = fire(30)
    Outcome.objects.update(surface="glossy")
    questions = []

    def counted(asked):
        questions.append(asked)
        return facet_counts(asked)

    monkeypatch.setattr("tiles.search.queries.facet_counts", counted)
    for asked in ("", "&page=2", "&sort=cone", "&view=list"):
        page = viewer_client.get(f"/results/?surface=glossy{asked}").text
        assert f"{len(glossy)} results" in page
    assert len(questions) == 1

    Outcome.objects.filter(pk=glossy[0].pk).update(surface="matt")

    assert f"{len(glossy) - 1} results" in viewer_client.get("/results/?surface=glossy").text
    assert len(questions) == 2


def test_only_the_newest_answers_about_results_are_kept():
    answers = Answers()
    for question in range(MOST_KEPT + 1):
        answers.of(question, lambda: "first")
        answers.of(1, lambda: "first")

    again = {question: answers.of(question, lambda: "again") for question in (MOST_KEPT, 1, 0)}
    assert again == {MOST_KEPT: "first", 1: "first", 0: "again"}


def test_answers_of_very_many_results_give_way_before_memory_does():
    answers = Answers(most_results=1_000)
    for question, results in (("glaze", 400), ("clay", 500), ("studio", 600)):
        answers.of(question, lambda: "first", lambda _, count=results: count)

    assert answers.of("studio", lambda: "again") == "first"
    assert answers.of("glaze", lambda: "again") == "again"


def test_an_answer_of_more_results_than_are_kept_at_all_is_asked_for_each_time():
    answers = Answers(most_results=1_000)

    assert answers.of("studio", lambda: "first", lambda _: 1_001) == "first"
    assert answers.of("studio", lambda: "again", lambda _: 1_001) == "again"

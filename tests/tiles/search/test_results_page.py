"""The results page in the browser's words: the address is the search."""

import re

import pytest
from django.test import Client
from django.utils import timezone

from tests.counting import queries_of
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Board, BoardSlot, Place

pytestmark = pytest.mark.django_db


@pytest.fixture
def outcome():
    body = ClayBodyFactory(name="Dune speckled")
    tile = glaze_tile(TileFactory(number=71042, body=body), (GlazeFactory(name="Harbour"), {"band 3": 3}))
    return fired_outcomes(tile, FiringFactory(fired=True))[0]


def words(answer) -> str:
    return re.sub(r"\s+", " ", answer.content.decode())


def test_a_result_shows_number_stack_and_conditions(viewer_client: Client, outcome):
    page = words(viewer_client.get("/results/"))

    assert "71042-2" in page
    assert "Harbour ×3" in page
    assert "3 coats Harbour brushed, on Dune speckled; target cone 6" in page
    assert "<strong>1 result </strong>" in page


def test_the_list_shows_the_same_results(viewer_client: Client, outcome):
    page = words(viewer_client.get("/results/?view=list"))

    assert "71042-2" in page
    assert "Dune speckled" in page


def test_a_form_that_sent_empty_fields_lands_on_the_plain_address(viewer_client: Client):
    answer = viewer_client.get("/results/?q=&cone=6&cone=&cone_by=&sort=")

    assert answer.status_code == 302
    assert answer.headers["Location"] == "/results/?cone=6"


def test_a_changed_filter_answers_results_and_counts_and_the_address(viewer_client: Client, outcome):
    answer = viewer_client.get("/results/?q=&cone=6&sort=", headers={"HX-Request": "true"})

    assert "<html" not in words(answer)
    assert 'id="found"' in words(answer)
    assert 'id="search-groups" hx-swap-oob' in words(answer)
    assert answer.headers["HX-Push-Url"] == "/results/?cone=6"
    assert "HX-Request" in answer.headers["Vary"]


def test_going_back_in_the_browser_gets_the_whole_page(viewer_client: Client, outcome):
    headers = {"HX-Request": "true", "HX-History-Restore-Request": "true"}

    assert "<html" in words(viewer_client.get("/results/?cone=6", headers=headers))


def test_each_filter_in_force_can_be_lifted_alone(viewer_client: Client, outcome):
    page = words(viewer_client.get(f"/results/?cone=6&cone_by=target&body={outcome.body.pk}&sort=run"))

    assert "cone 6 target" in page
    assert f'href="/results/?body={outcome.body.pk}&amp;sort=run"' in page
    assert 'href="/results/?cone=6&amp;cone_by=target&amp;sort=run"' in page


def test_nothing_found_says_what_leaving_a_filter_out_would_give(viewer_client: Client, outcome):
    page = words(viewer_client.get(f"/results/?surface=satin&body={outcome.body.pk}"))

    assert "Nothing has all of these" in page
    assert re.search(r"without satin <span class=\"choice-count\">1 result</span>", page)
    assert f'href="/results/?body={outcome.body.pk}"' in page
    assert "without on Dune" not in page


def test_a_studio_without_results_is_told_what_makes_one(viewer_client: Client):
    assert "A result is what one zone of a tile looked like after a firing" in words(
        viewer_client.get("/results/")
    )


def test_a_cone_there_is_none_of_is_answered_in_words_and_stays_typed(viewer_client: Client, outcome):
    answer = viewer_client.get("/results/?cone=5x")

    assert answer.status_code == 422
    assert "is not a cone; write 022 to 01" in words(answer)
    assert 'value="5x"' in words(answer)
    assert "71042-2" in words(answer)


def test_what_is_found_can_be_printed(viewer_client: Client, outcome):
    page = words(viewer_client.get("/results/?cone=6&coats=3&view=list"))

    assert 'href="/print/?results=cone%3D6%26coats%3D3"' in page


def test_what_a_person_typed_is_never_taken_for_markup(viewer_client: Client, outcome):
    page = words(viewer_client.get("/results/?q=%3Cscript%3Ealert(1)%3C/script%3E&kiln=%22%3E%3Cb%3E"))

    assert "<script>alert" not in page
    assert '"><b>' not in page


def test_pages_go_on_and_keep_the_search(viewer_client: Client, monkeypatch):
    monkeypatch.setattr("tiles.search.queries.RESULTS_A_PAGE", 2)
    coats = {"band 1": 1, "band 2": 2, "band 3": 3, "back": 3}
    fired_outcomes(glaze_tile(TileFactory(), (GlazeFactory(), coats)), FiringFactory(fired=True))

    first = words(viewer_client.get("/results/?cone=6"))
    second = words(viewer_client.get("/results/?cone=6&page=2"))

    assert "4 result" in first
    assert 'href="?cone=6&amp;page=2"' in first
    assert "Page 2 of 2" in second
    assert set(re.findall(r"#outcome-\d+", first)).isdisjoint(re.findall(r"#outcome-\d+", second))


def test_a_page_beyond_the_last_shows_the_last(viewer_client: Client, outcome):
    assert "71042-2" in words(viewer_client.get("/results/?page=99"))
    assert "71042-2" in words(viewer_client.get("/results/?page=none"))


def test_what_a_name_holds_is_no_markup(viewer_client: Client):
    body = ClayBodyFactory(name='<b>"Dune"</b> & ash')
    fired_outcomes(
        glaze_tile(TileFactory(body=body), (GlazeFactory(name="<i>Moss</i>"), {"band 1": 1})),
        FiringFactory(fired=True),
    )
    page = viewer_client.get("/results/").content.decode()

    assert "<b>" not in page
    assert "<i>" not in page
    assert "&lt;b&gt;&quot;Dune&quot;&lt;/b&gt; &amp; ash" in page


def test_of_many_firings_the_newest_are_offered_and_the_chosen_one(viewer_client: Client, monkeypatch):
    monkeypatch.setattr("tiles.search.facets.MOST_SENT", 2)
    for number in (301, 302, 303, 304):
        fired_outcomes(
            glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1})),
            FiringFactory(fired=True, number=number),
        )
    page = words(viewer_client.get("/results/?firing=301"))

    assert [number for number in (301, 302, 303, 304) if f'value="{number}"' in page] == [301, 303, 304]


def test_a_range_is_made_as_little_wider_as_finds_something(viewer_client: Client, outcome):
    page = words(viewer_client.get(f"/results/?cone=04–2&cone_by=target&body={outcome.body.pk}"))

    assert re.search(r'cone 04–6 target <span class="choice-count">1 result</span>', page)
    assert "Ask wider" in page
    assert "cone=04%E2%80%936&amp;cone_by=target" in page


def test_where_no_one_filter_is_enough_two_are_left_out(viewer_client: Client, outcome):
    page = words(viewer_client.get(f"/results/?surface=satin&verdict=keep&body={outcome.body.pk}"))

    assert "Leave two out" in page
    assert re.search(r'without satin and verdict: keep <span class="choice-count">1 result</span>', page)
    assert f'href="/results/?body={outcome.body.pk}"' in page


def test_where_not_even_two_are_enough_all_are_lifted(viewer_client: Client, outcome):
    page = words(viewer_client.get("/results/?surface=satin&verdict=keep&atmosphere=reduction"))

    assert "Leaving out any one or two of them finds nothing either." in page
    assert "Lift all filters" in page


def test_what_is_not_there_can_be_planned(recorder_client: Client, viewer_client: Client, outcome):
    glaze = outcome.top_glaze
    asked = f"/results/?glaze={glaze.pk}&body={outcome.body.pk}&cone=10&coats=1–2&surface=satin"
    plan = f"/plans/new/?glaze={glaze.pk}&body={outcome.body.pk}&cone=34&coats=1&coats=2"

    page = recorder_client.get(asked).content.decode()

    assert plan.replace("&", "&amp;") in page
    assert plan not in viewer_client.get(asked).content.decode()
    form = recorder_client.get(plan).context["form"]
    assert form["cones"].value() == "10"
    assert form["coats"].value() == "1, 2"


def test_a_search_for_what_was_seen_alone_is_nothing_to_plan(recorder_client: Client, outcome):
    assert "Plan these tiles" not in words(recorder_client.get("/results/?surface=satin"))


def test_nothing_found_takes_no_more_queries_with_more_filters(viewer_client: Client, outcome):
    few = queries_of(viewer_client, "/results/?surface=satin&verdict=keep&cone=10")
    many = queries_of(
        viewer_client,
        "/results/?surface=satin&verdict=keep&cone=10&coats=9&hold=90&run=8&gloss=9&since=2020-01-01&opacity=opaque",
    )

    assert many == few


def test_a_card_says_where_its_tile_is_to_be_found(viewer_client: Client, outcome):
    nowhere = viewer_client.get("/results/").content.decode()
    few = queries_of(viewer_client, "/results/")
    tile = outcome.tile
    tile.place = Place.objects.create(name="Box <3>")
    tile.save()
    kept = viewer_client.get("/results/").content.decode()
    slot = BoardSlot.objects.create(board=Board.objects.create(name="Wall"), row=2, column=3, tile=tile)
    hung = viewer_client.get("/results/").content.decode()

    assert "card-where" not in nowhere
    assert "The tile is at </span>Box &lt;3&gt;</p>" in kept
    assert "The tile is at </span>Wall, row 2, column 3</p>" in hung
    assert "Box &lt;3&gt;" not in hung
    assert queries_of(viewer_client, "/results/") == few
    slot.board.put_in_bin(by=None)
    assert "The tile is at </span>Box &lt;3&gt;</p>" in viewer_client.get("/results/").content.decode()


@pytest.mark.parametrize("shown", ["", "&view=list"])
def test_a_page_asked_again_tells_what_stands_now(viewer_client: Client, outcome, shown):
    """Answers kept with the results in memory never outlive what they tell of, whichever table that stands in."""
    address = f"/results/?cone=6{shown}"
    viewer_client.get(address)
    outcome.zone.name = "rim"
    outcome.zone.save(update_fields=["name"])
    BoardSlot.objects.create(
        board=Board.objects.create(name="Wall by the sink", rows=2, columns=2),
        tile=outcome.tile,
        row=1,
        column=2,
    )

    page = words(viewer_client.get(address))

    assert "rim" in page
    assert shown or "Wall by the sink, row 1, column 2" in page
    outcome.surface = "satin"
    outcome.judged_at = timezone.now()
    outcome.save()
    assert words(viewer_client.get(address)).count("not judged yet") < page.count("not judged yet")


def test_an_order_there_is_none_of_is_no_problem_of_the_same_search_in_another(
    viewer_client: Client, outcome
):
    wrong = viewer_client.get("/results/?cone=6&sort=up")
    right = viewer_client.get("/results/?cone=6&sort=cone")

    assert wrong.status_code == 422
    assert right.status_code == 200
    assert "This filter was left out." not in words(right)

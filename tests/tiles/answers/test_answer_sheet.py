"""The answer to a question: on the screen, in its address, on paper."""

import re
from decimal import Decimal
from html import unescape
from io import BytesIO

import pypdfium2
import pytest

from firings.logbook.services import settle_reached_cone
from firings.preferences import Preferences
from tests.counting import queries_of
from tests.factories import (
    CONE_5,
    CONE_6,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    KilnFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Outcome
from tiles.prints.kinds import Asked, kind_named
from tiles.prints.paper import print_pages

pytestmark = pytest.mark.django_db


@pytest.fixture
def harbour():
    """One glaze in one to three coats at cones 5 and 6 on two bodies, judged."""
    glaze = GlazeFactory(name="Harbour", surface="glossy", cautions="Wear a respirator for the dry powder.")
    form, kiln = TileFormFactory(), KilnFactory()
    for order in (CONE_5, CONE_6):
        firing = FiringFactory(fired=True, kiln=kiln, target_order=order, reached_order=order)
        for name in ("Dune speckled", "Porch white"):
            body = ClayBodyFactory._meta.model.objects.filter(name=name).first() or ClayBodyFactory(name=name)
            tile = glaze_tile(
                TileFactory(form=form, body=body), (glaze, {"band 1": 1, "band 2": 2, "band 3": 3})
            )
            fired_outcomes(tile, firing)
    Outcome.objects.update(surface="glossy", run_mm=1, judged_at="2026-10-14T12:00Z")
    return glaze


def body_named(name):
    return ClayBodyFactory._meta.model.objects.get(name=name)


def question(glaze, **said):
    return "/answers/?" + "&".join(f"{name}={value}" for name, value in {"glaze": glaze.pk, **said}.items())


def test_the_exact_match_comes_first_and_the_address_is_the_question(viewer_client, harbour):
    body = body_named("Dune speckled")
    page = viewer_client.get(question(harbour, body=body.pk, cone=6, coats=2)).content.decode()

    assert "<h1>Harbour, 2 coats, on Dune speckled, cone 6</h1>" in " ".join(page.split()).replace(
        "> ", ">"
    ).replace(" <", "<")
    assert "Seen once: 1 tile of 1 firing" in page
    assert page.index("Fired just so") < page.index("Nearest to it")
    assert "Wear a respirator" in page
    assert "on Porch white instead of on Dune speckled" in page


def test_thin_evidence_says_that_it_is_not_enough(viewer_client, harbour):
    page = viewer_client.get(question(harbour, cone=6, coats=2)).content.decode()

    assert "Not enough to say" in page
    assert "what that does: not enough to say" in page


def test_the_tiles_behind_a_run_risk_are_one_click_away(viewer_client, harbour):
    asked = question(harbour, cone=6, coats=2)
    Outcome.objects.filter(zone__name="band 2", reached_order=CONE_6, body__name="Porch white").update(
        runs_off=True
    )
    page = viewer_client.get(asked).content.decode()
    link = unescape(re.search(r'href="(/answers/runs/[^"]+)">1 of 2', page)[1])
    behind = viewer_client.get(link)

    assert [card.pk for card in behind.context["shown"].cards] == list(
        Outcome.objects.filter(zone__name="band 2", reached_order=CONE_6)
        .order_by("-runs_off")
        .values_list("pk", flat=True)
    )
    assert "Harbour, 2 coats, cone 6" in behind.content.decode()
    assert viewer_client.get(unescape(behind.context["back"])).status_code == 200
    assert viewer_client.get(link.replace("cone=6", "cone=9")).status_code == 404
    assert viewer_client.get(link.replace("cone=6", "cone=hot")).status_code == 422


def test_what_was_never_fired_offers_the_nearest_and_the_plan(recorder_client, harbour):
    answer = recorder_client.get(question(harbour, cone=10, coats=2))
    page = answer.content.decode()

    assert "Never fired just so" in page
    assert "cone 6 instead of cone 10" in page
    assert recorder_client.get(answer.context["answer"].plan).status_code == 200


def test_a_viewer_is_offered_no_plan(viewer_client, harbour):
    assert "Plan this tile" not in viewer_client.get(question(harbour, cone=10)).content.decode()


@pytest.mark.parametrize(
    "said", [{"cone": "99"}, {"coats": "0"}, {"coats": "x"}, {"body": "999999"}, {"hold": "-1"}]
)
def test_what_cannot_be_asked_is_said_and_the_rest_stays_typed(viewer_client, harbour, said):
    answer = viewer_client.get(question(harbour, **said))

    assert answer.status_code == 422
    assert "field-errors" in answer.content.decode()
    assert "Harbour" in answer.content.decode()


def test_the_page_without_a_question_asks_for_one(viewer_client):
    assert "What does a glaze do?" in viewer_client.get("/answers/").content.decode()


def test_whether_it_runs_and_what_to_mind_are_told_before_the_photographs(viewer_client, harbour):
    asked = question(harbour, coats=2, cone=6)
    page = unescape(" ".join(viewer_client.get(asked).content.decode().split()))
    above, below = page.split('id="exact"')

    for place in ("runs", "mind"):
        assert f'href="#{place}"' in above
        assert f'id="{place}"' in below
    assert "Running off: none of 2 ran off; not enough to say more" in above
    never = viewer_client.get(question(harbour, coats=9, cone=6)).content.decode()
    assert "Running off: not enough to say" in never


def test_what_ran_off_here_and_what_is_to_be_expected_stand_in_one_line(viewer_client, harbour):
    form = TileFormFactory()
    firing = FiringFactory(fired=True, target_order=CONE_6, reached_order=CONE_6)
    for _ in range(6):
        fired_outcomes(glaze_tile(TileFactory(form=form), (harbour, {"band 1": 1, "band 2": 2})), firing)
    Outcome.objects.update(surface="glossy", judged_at="2026-10-14T12:00Z")
    page = viewer_client.get(question(harbour, coats=2, cone=6)).content.decode()
    words = " ".join(unescape(re.sub("<[^>]+>", "", page)).split())

    assert re.search(
        r"Running off: none of 8 ran off; from like tiles, about \d+ in 100, could be up to \d+", words
    )
    assert "Like tiles are this glaze’s other stacks and cones" in words
    assert "0 to" not in words


def test_nothing_reads_like_a_statement_about_food(viewer_client, harbour):
    assert "food safe" not in viewer_client.get(question(harbour)).content.decode().lower()


def test_an_answer_asks_as_often_for_many_results_as_for_few(viewer_client, harbour):
    address = question(harbour, cone=6, coats=2)
    viewer_client.get(address)
    before = queries_of(viewer_client, address)
    firing = FiringFactory(fired=True)
    for _ in range(3):
        fired_outcomes(glaze_tile(TileFactory(), (harbour, {"band 1": 1, "band 2": 2})), firing)

    assert queries_of(viewer_client, address) <= before


def test_the_answer_prints_on_one_page(harbour):
    asked = Asked((f"glaze={harbour.pk}&cone=6&coats=2",), {}, Preferences())
    kind = kind_named("answer-sheet")
    document = pypdfium2.PdfDocument(BytesIO(print_pages(kind.pages(asked), title="Answer").pdf))
    words = " ".join(document[0].get_textpage().get_text_range().split())

    assert len(document) == 1
    assert list(kind.notes(asked)) == []
    for said in (
        "Harbour, 2 coats, cone 6",
        "Fired just so",
        "Nearest to it",
        "Wear a respirator",
        "No claim about food use",
    ):
        assert said in words


def test_the_printed_answer_tells_the_zones_of_a_tile_apart_and_that_a_tile_is_no_pot(harbour):
    asked = Asked((f"glaze={harbour.pk}&cone=6&coats=2",), {}, Preferences())
    pages = kind_named("answer-sheet").pages(asked)
    document = pypdfium2.PdfDocument(BytesIO(print_pages(pages, title="Answer").pdf))
    words = " ".join(document[0].get_textpage().get_text_range().split())

    assert ", band 2: glossy" in words
    assert "A tile is not a pot" in words


def test_zones_of_one_tile_that_answer_share_a_card_and_each_leads_to_its_own_result(viewer_client, harbour):
    answer = viewer_client.get(question(harbour, cone=6))
    cards = answer.context["answer"].exact
    zones = [one.card for card in cards for one in card.zones]
    page = answer.content.decode()

    assert len(cards) == 2
    assert [one.card.zone for one in cards[0].zones] == ["band 1", "band 2", "band 3"]
    assert {card.pk for card in zones} == set(
        Outcome.objects.filter(reached_order=CONE_6).values_list("pk", flat=True)
    )
    for card in zones:
        assert f'href="{card.address}"' in page
    assert page.count(f'<span class="number-plate">{cards[0].label}</span>') == 1
    assert cards[0].zones[0].own == "1 coat Harbour brushed"
    assert "coat" not in cards[0].conditions


def test_a_tile_meant_for_a_cooler_cone_and_half_a_cone_over_does_not_answer_for_the_next(
    viewer_client, harbour
):
    firing = FiringFactory(fired=True, target_order=CONE_5, controller_number=Decimal("5.55"))
    tile = glaze_tile(TileFactory(), (harbour, {"band 1": 1, "band 2": 2}))
    fired_outcomes(tile, settle_reached_cone(firing))
    Outcome.objects.update(surface="glossy", judged_at="2026-10-14T12:00Z")
    at_6, at_5 = (viewer_client.get(question(harbour, cone=cone, coats=2)) for cone in (6, 5))
    own = viewer_client.get(tile.get_absolute_url()).content.decode()

    assert tile.label not in {one.label for one in at_6.context["answer"].exact}
    assert tile.label in {one.label for one in at_5.context["answer"].exact}
    assert "Cone 5 is what the ware reached; where that lies between two cones, what it was meant for." in (
        at_5.content.decode()
    )
    assert "at cone 5 to 5.6" in at_5.content.decode()
    assert "cone=5&" in unescape(own)
    assert "cone=6&" not in unescape(own)


def test_a_tile_fired_again_is_another_card(viewer_client, harbour):
    tile = Outcome.objects.filter(reached_order=CONE_6).first().tile
    again = FiringFactory(fired=True, target_order=CONE_6, reached_order=CONE_6)
    fired_outcomes(tile, again)

    cards = viewer_client.get(question(harbour, cone=6)).context["answer"].exact

    assert [card.label for card in cards].count(tile.label) == 2


def test_zones_with_one_stack_say_it_once_on_paper_too(harbour):
    tile = glaze_tile(TileFactory(), (harbour, {"band 1": 2, "texture": 2}))
    fired_outcomes(tile, FiringFactory(fired=True, target_order=CONE_5, reached_order=CONE_5))
    Outcome.objects.update(surface="glossy", judged_at="2026-10-14T12:00Z")
    asked = Asked((f"glaze={harbour.pk}&cone=5&coats=2",), {}, Preferences())
    pages = kind_named("answer-sheet").pages(asked)
    document = pypdfium2.PdfDocument(BytesIO(print_pages(pages, title="Answer").pdf))
    words = " ".join(document[0].get_textpage().get_text_range().split())

    assert re.search(
        rf"{tile.label}, 2 coats Harbour brushed, on [^.]*\. band 1: glossy[^;]*; texture, textured: glossy",
        words,
    )


def test_what_lies_beneath_is_minded_as_well(viewer_client, harbour):
    flux = GlazeFactory(name="Flux L", kind="flux", cautions="Wear gloves.")
    page = viewer_client.get(question(harbour, over=flux.pk, cone=6)).content.decode()

    assert "Flux L: Wear gloves." in page
    assert "Harbour: Wear a respirator for the dry powder." in page
    assert "A flux under a glaze may run" in page


def test_a_tile_asks_the_question_its_own_result_answers(viewer_client, harbour):
    outcome = Outcome.objects.filter(zone__name="band 2").first()
    page = viewer_client.get(outcome.tile.get_absolute_url()).content.decode()
    address = unescape(re.search(rf'id="outcome-{outcome.pk}".*?href="(/answers/[^"]+)"', page, re.S)[1])

    assert outcome.pk in viewer_client.get(address).context["answer"].exact_keys


@pytest.mark.parametrize(
    ("page", "way"),
    [
        ("/", '<form class="ask"'),
        ("/results/?glaze={glaze}", r'<a class="button"\s+href="/answers/'),
        ("/catalogue/glazes/{glaze}/", '<form class="ask"'),
    ],
)
def test_a_question_is_one_tap_from_where_it_comes_up(viewer_client, harbour, page, way):
    page = viewer_client.get(page.format(glaze=harbour.pk), follow=True).content.decode()

    assert re.search(way, page)


def test_a_question_in_words_leads_to_the_plain_address_and_back_to_the_words(viewer_client, harbour):
    answer = viewer_client.get("/answers/", {"q": "harbour, dune speckled, cone 6, 2 coats"})
    body = body_named("Dune speckled")
    page = viewer_client.get(answer["Location"])

    assert answer["Location"] == question(harbour, body=body.pk, cone=6, coats=2)
    assert 'value="Harbour, 2 coats, on Dune speckled, cone 6"' in page.content.decode()
    again = viewer_client.get("/answers/", {"q": page.context["typed"]})
    assert sorted(again["Location"].split("?")[1].split("&")) == sorted(
        answer["Location"].split("?")[1].split("&")
    )


def test_what_of_a_question_was_read_in_other_words_or_left_out_stands_beside_the_answer(
    viewer_client, harbour
):
    dune, porch = body_named("Dune speckled"), body_named("Porch white")
    ClayBodyFactory._meta.model.objects.update(colour_family="white", speckled=False)
    answer = viewer_client.get("/answers/", {"q": "harbuor, white clay, cone 6, shiny"}, follow=True)
    page = " ".join(unescape(answer.content.decode()).split())
    (way,) = [query for words, query in answer.context["heard"].open[0].ways if words == dune.name]
    chosen = viewer_client.get(f"/answers/?{way}")

    assert "“harbuor” is read as <strong>Harbour</strong>" in page
    assert "Left open: “white clay”" in page
    assert "Not understood: “shiny”" in page
    assert porch.name in page
    assert chosen.context["answer"].question == "Harbour, on Dune speckled, cone 6"
    assert [one.typed for one in chosen.context["heard"].open] == ["shiny"]


def test_a_question_without_a_glaze_asks_for_it_and_keeps_what_was_said(viewer_client, harbour):
    answer = viewer_client.get("/answers/", {"q": "dune speckled, cone 6, 2 coats"})
    page = " ".join(answer.content.decode().split())

    assert answer.status_code == 422
    assert "Which glaze?" in page
    assert 'value="dune speckled, cone 6, 2 coats"' in page
    assert re.search(r'name="cone" value="6"', page)
    assert re.search(rf'value="{body_named("Dune speckled").pk}" selected', page)


def test_a_question_from_a_glazes_page_need_not_name_it(viewer_client, harbour):
    asked = {"glaze": harbour.pk, "q": "cone 6, 2 coats"}

    assert viewer_client.get("/answers/", asked)["Location"] == question(harbour, cone=6, coats=2)
    assert viewer_client.get("/answers/", {**asked, "q": ""}).context["answer"].question == "Harbour"
    assert viewer_client.get("/answers/", {"q": " "}).status_code == 200


def test_words_that_are_a_question_offer_its_answer_among_the_results(viewer_client, harbour):
    asked, searched = (
        unescape(viewer_client.get("/results/", {"q": typed}).content.decode())
        for typed in ("harbour cone 6", "harbour glossy")
    )

    assert "Answer “harbour cone 6”" in asked
    assert 'href="/answers/?q=harbour%20cone%206"' in asked
    assert "Answer “" not in searched

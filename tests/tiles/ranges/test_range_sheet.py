"""The range sheet of a glaze: seen, chosen from, planned from, printed."""

from io import BytesIO
from urllib.parse import parse_qs, urlsplit

import pypdfium2
import pytest
from django.utils import timezone
from playwright.sync_api import expect

from firings.preferences import Preferences
from tests.counting import queries_of
from tests.factories import (
    CONE_5,
    CONE_6,
    CONE_10,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    KilnFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import ClayBody, Outcome
from tiles.prints.kinds import Asked, kind_named
from tiles.prints.marks import Plate
from tiles.prints.paper import print_pages
from tiles.ranges.paper.queries import facts_of
from tiles.ranges.paper.sheet import lay_out
from tiles.ranges.queries import range_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def harbour():
    """A glaze on two bodies at cone 5 and, on one of them, at cone 6; over a flux once."""
    glaze = GlazeFactory(name="Harbour", cone_low_order=CONE_5, cone_high_order=CONE_6)
    flux = GlazeFactory(name="Flux L", kind="flux")
    form, kiln = TileFormFactory(), KilnFactory()
    bodies = [ClayBodyFactory(name=name) for name in ("Dune speckled", "Porch white")]
    firings = [
        FiringFactory(fired=True, kiln=kiln, target_order=order, reached_order=order)
        for order in (CONE_5, CONE_6)
    ]
    for body, firing in ((bodies[0], firings[0]), (bodies[1], firings[0]), (bodies[0], firings[1])):
        tile = TileFactory(body=body, form=form)
        fired_outcomes(glaze_tile(tile, (glaze, {"band 1": 1, "band 2": 2})), firing)
    over = TileFactory(body=bodies[0], form=form)
    fired_outcomes(glaze_tile(over, (flux, {"band 1": 1}), (glaze, {"band 1": 2})), firings[0])
    return glaze


def sheet_of(client, glaze, query=""):
    return client.get(f"/catalogue/glazes/{glaze.pk}/range/{query}").content.decode()


def test_cones_stand_across_and_bodies_down(viewer_client, harbour):
    page = sheet_of(viewer_client, harbour)

    for words in (
        '<th scope="col">cone 5</th>',
        '<th scope="col">cone 6</th>',
        "Dune speckled</th>",
        "Porch white</th>",
    ):
        assert words in page
    assert page.count("n&nbsp;2") == 3


def test_a_cell_leads_to_exactly_the_results_behind_its_number(viewer_client, harbour, recorder_client):
    query = f"?rows=body&columns=cone&over=none&row={harbour.stacked.first().outcome.body_id}&column={CONE_5}"
    page = viewer_client.get(f"/catalogue/glazes/{harbour.pk}/range/cell/{query}").content.decode()

    assert "2 results" in page
    assert page.count('<article class="card">') == 2


def test_a_place_that_is_not_on_the_sheet_is_not_found(viewer_client, harbour):
    address = f"/catalogue/glazes/{harbour.pk}/range/cell/?row=x&column=<script>"

    assert viewer_client.get(address).status_code == 404


def test_what_is_over_a_flux_can_stand_across(viewer_client, harbour):
    page = sheet_of(viewer_client, harbour, "?rows=coats&columns=over")

    assert "over Flux L" in page
    assert "on bare clay" in page


def test_an_empty_cell_is_planned_with_its_conditions(recorder_client, harbour):
    page = sheet_of(recorder_client, harbour)
    answer = recorder_client.get(
        f"/catalogue/glazes/{harbour.pk}/range/plan/?rows=body&columns=cone&over=none"
    )

    assert page.count("plan it") == 1
    assert f"glaze={harbour.pk}" in answer.url
    assert f"cone={CONE_6}" in answer.url
    assert "under=none" in answer.url
    assert recorder_client.get(answer.url).status_code == 200


def test_only_what_is_ticked_is_planned_though_the_planner_crosses(recorder_client, harbour):
    """Cone 6 on one clay and cone 10 on the other; the planner's rules keep it from cone 10 on the first."""
    harbour.cone_high_order = CONE_10
    harbour.save()
    dune, porch = (ClayBody.objects.get(name=name).pk for name in ("Dune speckled", "Porch white"))
    address = f"/catalogue/glazes/{harbour.pk}/range/plan/"
    asked = {
        "rows": "body",
        "columns": "cone",
        "over": "none",
        "cell": [f"{porch}|{CONE_6}", f"{dune}|{CONE_10}"],
    }
    ticked = recorder_client.get(address, asked)
    everything = recorder_client.get(address, {**asked, "all": "1"})
    rules = parse_qs(urlsplit(ticked.url).query)["rule"]
    page = recorder_client.get(ticked.url).content.decode()

    assert sorted(rules) == sorted((f"body|{porch}|with|cone|{CONE_10}", f"body|{dune}|with|cone|{CONE_6}"))
    assert "Porch white never with cone 10" in page
    assert "Dune speckled never with cone 6" in page
    assert parse_qs(urlsplit(everything.url).query)["rule"] == [f"body|{dune}|with|cone|{CONE_6}"]


def test_the_planner_takes_no_rule_between_conditions_it_does_not_have(recorder_client, harbour):
    for rule in ("body|999|with|cone|30", "cone|30|with|cone|30", "body|x", "method|brush|above|cone|x"):
        page = recorder_client.get("/plans/new/", {"glaze": harbour.pk, "cone": CONE_6, "rule": rule})

        assert page.status_code == 200
        assert " never with " not in page.content.decode()


def test_the_tester_reads_what_is_to_be_kept_in_its_cell(viewer_client, harbour):
    Outcome.objects.update(judged_at=timezone.now(), surface="satin", verdict="keep")

    assert "· keep</span>" in sheet_of(viewer_client, harbour)


def test_range_sheets_are_reached_from_glaze_results_and_the_list(viewer_client, harbour):
    GlazeFactory(name="Never fired")
    sheet, others = (f'href="/catalogue/glazes/{harbour.pk}/range/{end}"' for end in ("", "combinations/"))

    for address in ("/ranges/", harbour.get_absolute_url(), f"/results/?glaze={harbour.pk}"):
        page = viewer_client.get(address).content.decode()
        assert sheet in page
        assert others in page
    assert "Never fired" not in viewer_client.get("/ranges/").content.decode()
    assert 'value="range-sheet"' in viewer_client.get(harbour.get_absolute_url()).content.decode()
    assert sheet not in viewer_client.get("/results/").content.decode()


def test_the_list_of_range_sheets_is_asked_once_however_many_glazes(viewer_client, harbour):
    viewer_client.get("/ranges/")
    before = queries_of(viewer_client, "/ranges/")
    firing, form = FiringFactory(fired=True), TileFormFactory()
    for _ in range(3):
        fired_outcomes(glaze_tile(TileFactory(form=form), (GlazeFactory(), {"band 1": 1})), firing)

    assert queries_of(viewer_client, "/ranges/") == before


def test_before_the_first_firing_the_list_says_what_comes_first(viewer_client):
    assert "Nothing fired yet" in viewer_client.get("/ranges/").content.decode()


def test_a_viewer_is_offered_no_plans(viewer_client, harbour):
    assert "plan it" not in sheet_of(viewer_client, harbour)
    assert viewer_client.get(f"/catalogue/glazes/{harbour.pk}/range/plan/").status_code == 403


def test_a_glaze_without_results_says_what_comes_first(recorder_client):
    page = sheet_of(recorder_client, GlazeFactory())

    assert "Nothing fired yet" in page
    assert "Plan a series" in page


def test_the_number_of_queries_does_not_grow_with_the_results(viewer_client, harbour):
    address = f"/catalogue/glazes/{harbour.pk}/range/"
    viewer_client.get(address)
    before = queries_of(viewer_client, address)
    form, kiln = TileFormFactory(), KilnFactory()
    for order in (CONE_5, CONE_6):
        firing = FiringFactory(fired=True, kiln=kiln, target_order=order, reached_order=order)
        tile = TileFactory(form=form)
        fired_outcomes(glaze_tile(tile, (harbour, {"band 1": 1, "band 2": 2, "band 3": 3})), firing)

    assert queries_of(viewer_client, address) == before


def test_the_sheet_prints_on_one_page_and_says_all_of_it(harbour):
    asked = Asked((f"{harbour.pk}?rows=body&columns=cone",), {}, Preferences())
    kind = kind_named("range-sheet")
    pages = kind.pages(asked)
    document = pypdfium2.PdfDocument(BytesIO(print_pages(pages, title="Range sheet").pdf))
    words = " ".join(document[0].get_textpage().get_text_range().split())

    assert len(document) == 1
    assert list(kind.notes(asked)) == []
    for said in (
        "Harbour",
        "cone 5",
        "cone 6",
        "Dune speckled",
        "Porch white",
        "not fired yet",
        "No claim about food use",
    ):
        assert said in words


def test_a_print_of_a_glaze_that_is_gone_says_so():
    with pytest.raises(LookupError, match="not in the catalogue"):
        kind_named("range-sheet").pages(Asked(("999999?rows=body",), {}, Preferences()))


def test_choosing_another_condition_changes_the_sheet_and_its_address(open_page, viewer, harbour):
    page = open_page(f"/catalogue/glazes/{harbour.pk}/range/", viewer)
    page.get_by_label("Down").select_option("coats")

    expect(page.get_by_role("rowheader", name="2 coats")).to_be_visible()
    assert "rows=coats" in page.url


@pytest.mark.parametrize(
    ("paper", "sides_mm"), [("A3", (297, 420)), ("A4", (210, 297)), ("Letter", (215.9, 279.4))]
)
def test_the_sheet_comes_on_the_paper_that_is_chosen_and_stays_within_its_margins(harbour, paper, sides_mm):
    # ISO 216: A3 is 297 × 420 mm, A4 210 × 297 mm; ANSI/ASME Y14.1: Letter is 8.5 × 11 in.
    asked = Asked((f"{harbour.pk}?rows=body&columns=cone",), {"paper": paper}, Preferences())
    document = pypdfium2.PdfDocument(
        BytesIO(print_pages(kind_named("range-sheet").pages(asked), title="Range sheet").pdf)
    )
    page = document[0]
    width_mm, height_mm = (side * 25.4 / 72 for side in page.get_size())
    rendered = page.render(scale=2).to_numpy()[..., :3].min(axis=2)
    mm = 2 * 72 / 25.4
    # The printed matter keeps 10 mm from every edge, but for the code's quiet zone, which is white.
    edge = int(9.5 * mm)

    assert sorted((width_mm, height_mm)) == pytest.approx(sorted(sides_mm), abs=0.1)
    assert (rendered[:edge] > 250).all()
    assert (rendered[-edge:] > 250).all()
    assert (rendered[:, :edge] > 250).all()
    assert (rendered[:, -edge:] > 250).all()


def test_photographs_are_larger_on_a3(harbour):
    asked = Asked((f"{harbour.pk}?rows=body&columns=cone",), {}, Preferences())
    facts = facts_of(range_sheet(harbour, {"rows": "body", "columns": "cone"}), asked)
    across = [
        max(mark.box.width_mm for mark in lay_out(facts, paper).marks if isinstance(mark, Plate))
        for paper in ("A4", "A3")
    ]

    assert across[1] > 1.3 * across[0]


def test_a3_is_offered_for_range_sheets_and_maps_of_boards():
    for name in ("range-sheet", "board-map"):
        (paper,) = (
            one for one in kind_named(name).options(Preferences(paper="Letter")) if one.name == "paper"
        )

        assert [value for value, _ in paper.choices] == ["Letter", "A4", "A3"]

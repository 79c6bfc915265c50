"""A laboratory's report noted, refused, changed and binned, and its figures beside the limits named."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from firings.vocabulary import FiringState
from tests.counting import queries_of
from tests.factories import (
    CONE_6,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    LeachReportFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import LeachReport

pytestmark = pytest.mark.django_db

NEW = reverse("tiles:laboratory:new_leach_report")
LIST = reverse("tiles:laboratory:leach_reports")


def sent(*figures, **given):
    """A report as a browser sends it; figures are element, measured, unit, limit in the report."""
    facts = {
        "glaze": "", "tile": "", "body": "", "firing": "", "cone_order": "6", "atmosphere": "oxidation",
        "article": "mug, 0.3 l", "article_count": "4", "laboratory": "Laboratory by the river", "accreditation": "",
        "report_number": "26-4711", "sampled_on": "2026-10-03", "method": "iso_6486_1", "rule": "eu_filled",
        "rule_words": "", "note": "glazed all over", "figures-TOTAL_FORMS": len(figures), "figures-INITIAL_FORMS": 0,
    }  # fmt: skip
    for n, (element, measured, unit, limit) in enumerate(figures):
        facts |= {f"figures-{n}-element": element, f"figures-{n}-measured": measured}
        facts |= {f"figures-{n}-unit": unit, f"figures-{n}-limit_amount": limit}
    return facts | given


def text_of(client: Client, address: str) -> str:
    return " ".join(client.get(address).content.decode().split())


@pytest.fixture
def ware():
    return {"glaze": GlazeFactory(name="Harbour").pk, "body": ClayBodyFactory(name="Grey bar").pk}


def test_a_report_is_noted_with_each_figure_beside_the_limit_its_source_and_date(
    recorder_client, recorder, ware
):
    data = sent(
        ("Pb", "<0,05", "mg_per_l", ""), ("Cd", "0.31", "mg_per_l", ""), ("Cu", "1.2", "mg_per_l", ""), **ware
    )

    answer = recorder_client.post(NEW, data)

    report = LeachReport.objects.get()
    assert answer.headers["Location"] == report.get_absolute_url()
    assert (report.cone_order, report.created_by) == (CONE_6, recorder)
    lead = report.figures.first()
    assert (lead.is_less, lead.amount) == (True, Decimal("0.05"))
    page = text_of(recorder_client, report.get_absolute_url())
    # Directive 84/500/EEC: lead 4.0 mg/l, cadmium 0.3 mg/l.
    assert "<strong>lead (Pb)</strong> less than 0.05 mg/l" in page
    assert "below the limit named, 4 mg/l" in page
    assert "above the limit named, 0.3 mg/l" in page
    assert "no limit named" in page
    assert "Directive 84/500/EEC, article 2(4), of 1984, as amended by 2005/31/EC" in page
    assert "European Union" in page
    assert "sample of 3 Oct 2026" in page
    assert "26-4711" in page
    assert "not a certificate" in page
    assert "accredited laboratory" in page


@pytest.mark.parametrize(
    ("figure", "words"),
    [
        (("Pb", "little", "mg_per_l", ""), "figure"),
        (("Pb", "-1", "mg_per_l", ""), "figure of at least 0"),
        (("Pb", "<0", "mg_per_l", ""), "less than nothing"),
        (("", "0.1", "mg_per_l", ""), "which element"),
        (("Pb", "", "mg_per_l", "0.5"), "what was measured"),
        (("Pb", "", "mg_per_l", ""), "at least one figure"),
        (("Pb", "0.000001", "mg_per_l", ""), "Five places"),
        (("Pb", "0.1", "ounces", ""), "ounces"),
    ],
)
def test_a_figure_that_does_not_read_is_refused_in_words_and_nothing_typed_is_lost(
    recorder_client, ware, figure, words
):
    answer = recorder_client.post(NEW, sent(figure, **ware))

    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert "glazed all over" in page
    assert not LeachReport.everything.exists()


def test_an_element_twice_is_refused(recorder_client, ware):
    twice = [("Pb", "0.1", "mg_per_l", ""), ("Pb", "0.2", "mg_per_l", "")]

    assert "stands twice" in recorder_client.post(NEW, sent(*twice, **ware)).content.decode()


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"glaze": ""}, "Choose the glaze"),
        ({"body": ""}, "Choose the clay body"),
        ({"cone_order": ""}, "Choose the firing, or write the cone"),
        ({"report_number": ""}, "Fill this in"),
        ({"laboratory": ""}, "Fill this in"),
        ({"sampled_on": "2099-01-01"}, "yet to come"),
        ({"rule": ""}, "Choose one"),
        ({"rule": "report"}, "which rule the report names"),
    ],
)
def test_a_report_that_says_too_little_is_refused(recorder_client, ware, given, words):
    answer = recorder_client.post(NEW, sent(("Pb", "0.1", "mg_per_l", ""), **ware | given))

    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_limits_that_the_report_names_are_taken_from_it(recorder_client, ware):
    rule = {"rule": "report", "rule_words": "The island’s ordinance of 2019"}
    recorder_client.post(
        NEW, sent(("Pb", "0.5", "mg_per_l", "0.4"), ("Cd", "0.1", "mg_per_l", ""), **ware | rule)
    )

    page = text_of(recorder_client, LeachReport.objects.get().get_absolute_url())

    assert "above the limit named, 0.4 mg/l" in page
    assert "no limit named" in page
    assert "The island’s ordinance of 2019" in page


def test_a_figure_by_area_is_not_set_beside_a_limit_by_volume(recorder_client, ware):
    recorder_client.post(NEW, sent(("Pb", "0.001", "mg_per_dm2", ""), **ware))

    page = text_of(recorder_client, LeachReport.objects.get().get_absolute_url())

    assert "not compared" in page
    assert "below the limit" not in page


def test_a_tile_says_its_clay_firing_and_atmosphere_by_itself(recorder_client):
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    fired_outcomes(tile, FiringFactory(state=FiringState.UNLOADED, atmosphere="reduction"))
    data = sent(("Pb", "0.1", "mg_per_l", ""), tile=tile.label, cone_order="", atmosphere="")

    recorder_client.post(NEW, data)

    report = LeachReport.objects.get()
    assert (report.body, report.firing) == (tile.body, tile.placements.get().firing)
    assert "reduction" in text_of(recorder_client, report.get_absolute_url())
    for page in (tile.get_absolute_url(), tile.layers.get().glaze.get_absolute_url()):
        assert report.get_absolute_url() in text_of(recorder_client, page)


def test_the_form_begins_with_the_glaze_asked_for_and_with_lead_and_cadmium(recorder_client, ware):
    page = text_of(recorder_client, f"{NEW}?glaze={ware['glaze']}")

    assert f'<option value="{ware["glaze"]}" selected>' in page
    assert '<option value="Pb" selected>' in page
    assert '<option value="Cd" selected>' in page


def test_an_edit_shows_what_stands_and_one_step_undoes_it(recorder_client):
    report = LeachReportFactory(figures=[("Pb", "0.02", "less"), ("Cd", "0.01")])
    edit = reverse("tiles:laboratory:edit_leach_report", args=[report.pk])
    assert 'value="&lt;0.02"' in text_of(recorder_client, edit)

    ware = {"glaze": report.glaze.pk, "body": report.body.pk, "stamp": report.stamp}
    recorder_client.post(edit, sent(("Pb", "5", "mg_per_l", ""), **ware))

    assert [one.amount for one in report.figures.all()] == [5]
    before = LeachReport.history.filter(id=report.pk).order_by("history_id").first().history_id
    recorder_client.post(reverse("history:restore", args=["tiles", "leachreport", report.pk, before]))
    assert [(one.element, one.is_less) for one in report.figures.all()] == [("Pb", True), ("Cd", False)]


def test_what_another_wrote_meanwhile_is_shown_beside_what_was_typed(recorder_client):
    report = LeachReportFactory()
    stale = report.stamp
    report.save()
    ware = {"glaze": report.glaze.pk, "body": report.body.pk, "stamp": stale}

    answer = recorder_client.post(
        reverse("tiles:laboratory:edit_leach_report", args=[report.pk]),
        sent(("Pb", "5", "mg_per_l", ""), **ware),
    )

    assert answer.status_code == 409
    assert "Pb 5 mg/l" in answer.content.decode()
    assert "Pb 0.02 mg/l" in answer.content.decode()


def test_history_tells_of_each_element(recorder_client):
    report = LeachReportFactory()

    page = text_of(recorder_client, reverse("history:changes", args=["tiles", "leachreport", report.pk]))

    assert "lead (Pb) added" in page


def test_a_report_in_the_bin_is_shown_no_more(recorder_client):
    report = LeachReportFactory()
    recorder_client.post(reverse("history:bin", args=["tiles", "leachreport", report.pk]))

    assert "No report yet" in text_of(recorder_client, LIST)
    assert recorder_client.get(report.get_absolute_url()).status_code == 404
    assert report.report_number not in text_of(recorder_client, report.glaze.get_absolute_url())


def test_a_viewer_reads_and_writes_nothing(viewer_client):
    report = LeachReportFactory()

    assert report.report_number in text_of(viewer_client, LIST)
    assert "Note a report" not in text_of(viewer_client, LIST)
    assert viewer_client.get(NEW).status_code == 403


@pytest.mark.parametrize("page", ["list", "glaze", "tile"])
def test_more_reports_cost_no_more_queries(viewer_client, page):
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    glaze = tile.layers.get().glaze
    address = {"list": LIST, "glaze": glaze.get_absolute_url(), "tile": tile.get_absolute_url()}[page]
    facts = {"glaze": glaze, "tile": tile, "body": tile.body, "firing": FiringFactory(), "cone_order": None}
    LeachReportFactory(**facts)
    few = queries_of(viewer_client, address)
    for _ in range(6):
        LeachReportFactory(**facts)

    assert queries_of(viewer_client, address) == few


def test_the_database_itself_asks_for_a_glaze_or_tile_a_cone_or_firing_and_the_rule():
    for facts in ({"glaze": None}, {"cone_order": None}, {"firing": FiringFactory()}, {"rule": "report"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            LeachReportFactory(**facts)

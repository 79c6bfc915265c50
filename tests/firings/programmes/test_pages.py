"""Programmes' pages: written, refused with nothing lost, kept in versions, compared, reckoned for a kiln and a cone."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from firings.models import Programme
from tests.counting import queries_of
from tests.factories import CurveFactory, FiringFactory, KilnFactory, ProgrammeFactory, SegmentFactory

pytestmark = pytest.mark.django_db

LIST, NEW = reverse("firings:programmes:list"), reverse("firings:programmes:new")
PREVIEW, TEXT = reverse("firings:programmes:preview"), reverse("firings:programmes:text")
COMPARE = reverse("firings:programmes:compare")
HTMX = {"HX-Request": "true"}
ROWS = (("60", "1000", ""), ("60", "1222", "10"))


def typed(*rows, **more):
    """A programme as a browser sends it."""
    sent = {"name": "Slow six", "note": "", "unit": "C", "row": [], "cone": "", "kiln": "", **more}
    for key, (rate, target, hold) in enumerate(rows or ROWS, start=1):
        sent["row"].append(str(key))
        sent |= {f"rate-{key}": rate, f"target-{key}": target, f"hold-{key}": hold}
        if rate == "fast":
            sent |= {f"rate-{key}": "", f"fast-{key}": "on"}
    return sent


def page_of(programme):
    return reverse("firings:programmes:programme", args=[programme.pk])


def edit_of(programme):
    return reverse("firings:programmes:edit", args=[programme.pk])


def written(name="Slow six", **more):
    programme = ProgrammeFactory(name=name, **more)
    SegmentFactory(programme=programme, position=1, target_c=1000)
    SegmentFactory(programme=programme, position=2, target_c=1222, hold_min=10)
    return programme


def fired(programme):
    FiringFactory(programme=programme, fired=True)
    return programme


def segments(programme):
    return [(one.rate_c_per_h, one.target_c, one.hold_min) for one in programme.segments.order_by("position")]


def boxes(answer, name):
    """What stands in the boxes of that name, in the order of the rows."""
    page = answer.content.decode()
    keys = re.findall(r'name="row" value="(\d+)"', page)
    inputs = {key: re.search(rf'name="{name}-{key}"[^>]*?value="([^"]*)"', page, re.DOTALL) for key in keys}
    return [found[1] for found in inputs.values() if found]


def test_the_list_makes_sense_when_empty(recorder_client):
    assert "No programme yet" in recorder_client.get(LIST).content.decode()


def test_the_list_shows_the_last_version_with_its_cone(viewer_client):
    first = written()
    ProgrammeFactory(name="Slow six", version=2, supersedes=first)
    page = viewer_client.get(LIST).content.decode()

    assert "version 2" in page
    assert page_of(first) not in page


def test_ten_more_programmes_ask_no_more_queries(viewer_client):
    fired(written())
    few = queries_of(viewer_client, LIST)
    for number in range(10):
        fired(written(f"Programme no. {number}"))

    assert queries_of(viewer_client, LIST) == few


def test_ten_more_segments_and_firings_ask_no_more_queries_on_its_page(viewer_client):
    programme = fired(written())
    few = queries_of(viewer_client, page_of(programme))
    for number in range(10):
        SegmentFactory(programme=programme, position=10 + number, target_c=100 + number)
        fired(programme)

    assert queries_of(viewer_client, page_of(programme)) == few


def test_a_programme_is_written_with_its_segments(recorder_client):
    answer = recorder_client.post(NEW, typed(("fast", "100", ""), ("55,5", "1 222,5", "1h30")))
    programme = Programme.objects.get()

    assert answer.headers["Location"] == page_of(programme)
    assert segments(programme) == [(None, 100, 0), (Decimal("55.5"), Decimal("1222.5"), 90)]


def test_fahrenheit_is_kept_in_celsius(recorder_client):
    recorder_client.post(NEW, typed(("108", "2232", "10"), unit="F"))

    assert segments(Programme.objects.get()) == [(Decimal("60.0"), Decimal("1222.2"), 10)]


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        (typed(name=""), "Give the programme a name"),
        (typed(name="held SIX"), "of this name already"),
        (typed(("", "", "")), "at least one segment"),
        (typed(("60", "", "")), "Say to which temperature"),
        (typed(("", "900", "")), "or tick as fast as possible"),
        (typed(("60", "hot", "")), "is not a figure"),
        (typed(("60", "2000", "")), "no temperature for a kiln"),
        (typed(("60", "900", ""), ("60", "900", "")), "there already"),
        (typed(("60", "900", "9999")), "longer than 6000 min"),
    ],
)
def test_a_programme_that_cannot_be_is_refused_and_stays_in_the_form(recorder_client, sent, said):
    written("Held six")
    answer = recorder_client.post(NEW, {**sent, "note": "For the big bowls"})

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert "For the big bowls" in answer.content.decode()
    assert boxes(answer, "target") == [sent[f"target-{key}"] for key in sent["row"]]
    assert Programme.objects.count() == 1


@pytest.mark.parametrize("address", [NEW, PREVIEW, TEXT])
def test_a_viewer_writes_no_programme(viewer_client, address):
    assert viewer_client.post(address, typed()).status_code == 403


def test_a_viewer_changes_no_programme(viewer_client):
    assert viewer_client.post(edit_of(written()), typed(stamp=1)).status_code == 403


def test_what_was_typed_survives_every_button_without_scripts(recorder_client):
    sent = typed(("60", "a thousand", ""), ("fast", "1222", "10"), name="Half a na", note="later", cone="6")
    for do in ("add", "up 2", "down 1", "look", "unit F", "line", "hold 2 15"):
        answer = recorder_client.post(NEW, {**sent, "line": "nonsense", "do": do})
        page = answer.content.decode()

        assert answer.status_code == 200
        assert "a thousand" in boxes(answer, "target")
        assert 'value="Half a na"' in page
        assert "later" in page
        assert 'name="fast-2" checked' in re.sub(r"\s+", " ", page)
        assert "<html" in page
    assert not Programme.objects.exists()


def test_rows_are_moved_added_and_taken_out_by_buttons(recorder_client):
    moved = recorder_client.post(NEW, {**typed(), "do": "up 2"})
    added = recorder_client.post(NEW, {**typed(), "do": "add"})
    gone = recorder_client.post(NEW, {**typed(), "do": "remove 1"})

    assert boxes(moved, "target") == ["1222", "1000"]
    assert boxes(added, "target") == ["1000", "1222", ""]
    assert boxes(gone, "target") == ["1222"]


def test_the_unit_is_changed_with_all_figures(recorder_client):
    answer = recorder_client.post(NEW, {**typed(), "do": "unit F"})

    assert boxes(answer, "target") == ["1832", "2231.6"]
    assert boxes(answer, "rate") == ["108", "108"]
    assert 'name="unit" value="F"' in answer.content.decode()


def test_a_suggested_hold_is_filled_in(recorder_client):
    answer = recorder_client.post(NEW, {**typed(), "do": "hold 2 20"})

    assert boxes(answer, "hold") == ["", "20"]


def test_htmx_gets_the_editor_alone(recorder_client):
    page = recorder_client.post(NEW, {**typed(), "do": "add"}, headers=HTMX).content.decode()

    assert "<html" not in page
    assert 'id="programme-editor"' in page


def test_the_preview_says_the_cone_and_keeps_nothing(recorder_client):
    kiln = KilnFactory(power_kw=9, energy_price_per_kwh="0.30")
    page = recorder_client.post(PREVIEW, typed(cone="7", kiln=kiln.pk)).content.decode()

    assert "Predicted" in page or "predicted cone" in page
    assert "<svg" in page
    assert "style=" not in page
    assert "kWh" in page
    assert "For cone 7" in page
    assert 'value="hold 2 ' in page
    assert "Forecast only. Watch the kiln and read the witness cones." in page
    assert not Programme.objects.exists()


def test_a_half_typed_row_is_said_softly_and_the_rest_is_drawn(recorder_client):
    page = recorder_client.post(PREVIEW, typed(("60", "1000", ""), ("60", "", ""))).content.decode()

    assert "<svg" in page
    assert "Say to which temperature" in page
    assert "segment-trouble--sent" not in page


def test_an_unfired_programme_is_changed_in_place(recorder_client):
    programme = written()
    recorder_client.post(edit_of(programme), typed(("80", "1186", "5"), name="Slow five", stamp=1))
    programme.refresh_from_db()

    assert Programme.objects.count() == 1
    assert (programme.name, programme.version, programme.stamp) == ("Slow five", 1, 2)
    assert segments(programme) == [(80, 1186, 5)]
    assert programme.history.count() == 2


@pytest.mark.parametrize("state", ["fired", "unloaded"])
def test_a_fired_programme_stays_and_an_edit_is_its_next_version(recorder_client, recorder, state):
    before = written()
    FiringFactory(programme=before, fired=True, state=state)
    was = segments(before)
    recorder_client.post(edit_of(before), typed(("80", "1186", "5"), stamp=1))
    after = Programme.objects.get(version=2)

    assert segments(before) == was
    assert (after.supersedes, after.name, after.created_by) == (before, "Slow six", recorder)
    assert segments(after) == [(80, 1186, 5)]


def test_a_programme_fired_in_a_firing_now_in_the_bin_stays_too(recorder_client, keeper):
    before = written()
    FiringFactory(programme=before, fired=True).put_in_bin(by=keeper)
    recorder_client.post(edit_of(before), typed(stamp=1))

    assert Programme.objects.count() == 2


def test_a_planned_firing_does_not_fix_its_programme(recorder_client):
    programme = written()
    FiringFactory(programme=programme)
    recorder_client.post(edit_of(programme), typed(("80", "1186", "5"), stamp=1))

    assert segments(programme) == [(80, 1186, 5)]


def test_the_third_version_follows_the_second(recorder_client):
    first = fired(written())
    recorder_client.post(edit_of(first), typed(stamp=1))
    second = fired(Programme.objects.get(version=2))
    recorder_client.post(edit_of(second), typed(stamp=second.stamp))

    assert Programme.objects.get(version=3).supersedes == second


def test_editing_an_old_version_leads_to_the_last(recorder_client):
    first = fired(written())
    second = ProgrammeFactory(name="Slow six", version=2, supersedes=first, stamp=2)
    answer = recorder_client.get(edit_of(first))

    assert answer.headers["Location"] == edit_of(second)


def test_two_people_editing_one_version_see_both(recorder_client, keeper_client):
    programme = written()
    keeper_client.post(edit_of(programme), typed(("70", "1200", ""), stamp=1))
    answer = recorder_client.post(edit_of(programme), typed(("90", "1100", ""), stamp=1))

    assert answer.status_code == 409
    assert "90:1100" in answer.content.decode()
    assert "70:1200" in answer.content.decode()


def test_two_people_editing_a_fired_version_make_one_next_version(recorder_client, keeper_client):
    first = fired(written())
    keeper_client.post(edit_of(first), typed(("70", "1200", ""), stamp=1))
    stale = typed(("90", "1100", ""), stamp=1)
    answer = recorder_client.post(edit_of(first), stale)
    kept = recorder_client.post(edit_of(first), {**stale, "stamp": Programme.objects.get(version=2).stamp})

    assert answer.status_code == 409
    assert kept.status_code == 302
    assert Programme.objects.count() == 2
    assert segments(Programme.objects.get(version=2)) == [(90, 1100, 0)]


def test_a_name_of_its_own_versions_is_no_clash(recorder_client):
    first = fired(written())
    answer = recorder_client.post(edit_of(first), typed(stamp=1))

    assert answer.status_code == 302


def test_a_programmes_page_draws_it_and_says_what_it_comes_to(viewer_client):
    programme = fired(written())
    kiln = KilnFactory(name="Oriel", power_kw=9, energy_price_per_kwh="0.30")
    page = viewer_client.get(page_of(programme), {"kiln": kiln.pk, "cone": "7"}).content.decode()

    assert "<svg" in page
    assert "style=" not in page
    assert "In kiln Oriel, predicted cone" in page
    assert "kWh" in page
    assert "For cone 7" in page
    assert "Forecast only. Watch the kiln and read the witness cones." in page
    assert programme.firings.get().label in page


@pytest.mark.parametrize(
    "asked", [{"cone": "70"}, {"kiln": "x"}, {"unit": "K"}, {"cone": "5½"}, {"cone": "022"}]
)
def test_an_odd_address_still_answers(viewer_client, asked):
    assert viewer_client.get(page_of(written()), asked).status_code == 200


def test_a_programme_without_segments_says_so(recorder_client):
    programme = ProgrammeFactory()

    assert "No segment is written yet" in recorder_client.get(page_of(programme)).content.decode()
    assert recorder_client.get(LIST).status_code == 200
    assert recorder_client.get(COMPARE, {"a": programme.pk, "b": programme.pk}).status_code == 200


def test_a_kilns_witness_cones_correct_its_forecast(viewer_client):
    kiln = KilnFactory()
    for _ in range(3):
        firing = FiringFactory(kiln=kiln, fired=True, reached_source="witness", reached_number=Decimal(7))
        CurveFactory(firing=firing, heat={"number": 6.0})
    page = viewer_client.get(page_of(written()), {"kiln": kiln.pk}).content.decode()

    assert "corrected by this kiln’s witness cones, +" in page
    assert "n = 3" in page


def test_two_programmes_are_compared(viewer_client):
    one, other = written(), written("Held six")
    other.segments.filter(position=2).update(hold_min=40)
    page = viewer_client.get(COMPARE, {"a": one.pk, "b": other.pk}).content.decode()

    assert "firing-line--2" in page
    assert "hotter" in page
    assert "30 min longer" in page
    assert page.count("programme-differs") >= 2


@pytest.mark.parametrize("asked", [{}, {"a": "1"}, {"a": "x", "b": "9" * 30}])
def test_comparing_without_two_asks_for_them(viewer_client, asked):
    assert "Choose two programmes" in viewer_client.get(COMPARE, asked).content.decode()


def test_a_line_opens_the_editor_with_its_segments(recorder_client):
    answer = recorder_client.post(TEXT, {"line": "60:1000, 60:1222 hold 10", "unit": "C"}, follow=True)

    assert boxes(answer, "target")[:2] == ["1000", "1222"]
    assert boxes(answer, "hold")[:2] == ["", "10"]
    assert not Programme.objects.exists()


@pytest.mark.parametrize(("line", "said"), [("", "Write a programme"), ("60:1000, hot", "Segment 2")])
def test_a_line_that_is_no_programme_is_said_and_stays(recorder_client, line, said):
    answer = recorder_client.post(TEXT, {"line": line, "unit": "C"})

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert line in answer.content.decode()


def test_a_copy_begins_with_the_same_segments(recorder_client):
    answer = recorder_client.get(NEW, {"from": written().pk})

    assert boxes(answer, "target") == ["1000", "1222"]


def test_the_list_tells_what_each_comes_to_in_a_kiln(viewer_client):
    written()
    kiln = KilnFactory(name="Oriel", power_kw=9)
    page = viewer_client.get(LIST, {"kiln": kiln.pk}).content.decode()

    assert "Oriel" in page
    assert "kWh" in page


def test_the_logbook_the_kilns_and_a_new_firing_lead_to_programmes(recorder_client):
    kiln = KilnFactory()
    pages = [reverse("firings:logbook:list"), reverse("firings:kilns:list"), kiln.get_absolute_url()]

    assert all(LIST in recorder_client.get(page).content.decode() for page in pages)
    assert NEW in recorder_client.get(reverse("firings:logbook:new")).content.decode()


def test_an_edit_in_place_is_undone_with_its_segments(recorder_client, keeper_client):
    recorder_client.post(NEW, typed())
    programme = Programme.objects.get()
    before = segments(programme)
    answer = recorder_client.post(
        edit_of(programme), typed(("90", "1100", ""), stamp=programme.stamp), follow=True
    )
    undo = re.search(r'action="(/[^"]*restore[^"]*)"', answer.content.decode())[1]

    assert segments(programme) == [(Decimal(90), Decimal(1100), 0)]

    keeper_client.post(undo)

    assert segments(programme) == before


def test_a_fired_programme_is_not_put_back_either(recorder_client, keeper_client):
    recorder_client.post(NEW, typed())
    programme = Programme.objects.get()
    version = programme.history.latest().history_id
    recorder_client.post(edit_of(programme), typed(("90", "1100", ""), stamp=programme.stamp))
    fired(programme)
    back = reverse("history:restore", args=["firings", "programme", programme.pk, version])
    answer = keeper_client.post(back, follow=True)

    assert "makes its next version" in answer.content.decode()
    assert segments(programme) == [(Decimal(90), Decimal(1100), 0)]

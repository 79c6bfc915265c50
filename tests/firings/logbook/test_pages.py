"""The logbook's pages: they list, plan, keep, refuse, and lose nothing typed."""

from datetime import UTC, datetime

import pytest
from django.urls import reverse

from firings.models import Firing, FiringNote
from tests.counting import queries_of
from tests.factories import (
    CONE_6,
    FiringFactory,
    FiringNoteFactory,
    KilnFactory,
    PlacementFactory,
    ProgrammeFactory,
    ShelfFactory,
    TileFactory,
    WitnessConeFactory,
)

pytestmark = pytest.mark.django_db

LIST, NEW = reverse("firings:logbook:list"), reverse("firings:logbook:new")


@pytest.fixture
def kiln():
    return KilnFactory(name="Oriel")


@pytest.fixture
def plan(kiln):
    return {
        "kiln": kiln.pk, "purpose": "glaze", "target_order": "6", "atmosphere": "oxidation", "hold_min": "10",
        "started_at": "2026-10-14T07:00", "programme": "", "note": "",
    }  # fmt: skip


def address(name, firing, *more):
    return reverse(f"firings:logbook:{name}", args=[firing.number, *more])


def test_the_logbook_makes_sense_when_empty(recorder_client):
    page = recorder_client.get(LIST).content.decode()

    assert "No firing yet" in page
    assert NEW in page


def test_the_logbook_shows_what_was_reached_and_from_what(viewer_client):
    FiringFactory(number=231, fired=True, reached_number="5.80", reached_source="witness")
    page = viewer_client.get(LIST).content.decode()

    assert "F-0231" in page
    assert "5.8" in page
    assert "witness cones" in page


def test_a_firing_for_tiles_that_wait_starts_with_their_cone(recorder_client):
    FiringFactory(target_order=34, purpose="bisque")

    form = recorder_client.get(NEW, {"cone": "6"}).context["form"]
    other = recorder_client.get(NEW, {"cone": "sixish"}).context["form"]

    assert (form["target_order"].value(), form["purpose"].value()) == ("6", "glaze")
    assert (other["target_order"].value(), other["purpose"].value()) == ("10", "bisque")


def test_the_logbook_is_narrowed_by_kiln_state_and_year(viewer_client, kiln):
    FiringFactory(number=1, kiln=kiln, fired=True)
    FiringFactory(number=2, kiln=kiln)
    FiringFactory(number=3, fired=True, started_at=datetime(2025, 3, 1, tzinfo=UTC))

    found = viewer_client.get(LIST, {"kiln": kiln.pk, "state": "fired", "year": "2026"}).content.decode()

    assert "F-0001" in found
    assert "F-0002" not in found
    assert "F-0003" not in found


@pytest.mark.parametrize("query", ["kiln=99", "state=boiled", "year=soon", "page=-1"])
def test_a_senseless_address_of_the_logbook_still_answers(viewer_client, query):
    assert viewer_client.get(f"{LIST}?{query}").status_code == 200


def test_ten_more_firings_ask_no_more_queries(viewer_client):
    FiringFactory()
    few = queries_of(viewer_client, LIST)
    for _ in range(10):
        PlacementFactory(firing=FiringFactory())

    assert queries_of(viewer_client, LIST) == few


def test_a_planned_firing_gets_its_number_and_page(recorder_client, plan):
    answer = recorder_client.post(NEW, plan, follow=True)
    firing = Firing.objects.get()

    assert answer.redirect_chain[-1][0] == firing.get_absolute_url()
    assert (firing.target_label, firing.hold_min, firing.kiln.name) == ("6", 10, "Oriel")
    assert "F-0001 is planned" in answer.content.decode()


def test_a_new_plan_starts_like_the_last_one(recorder_client, kiln):
    FiringFactory(kiln=kiln, target_order=20, hold_min=25, atmosphere="reduction")
    page = recorder_client.get(NEW).content.decode()

    assert 'value="04"' in page
    assert 'value="25"' in page


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("target_order", "1222", "is not a cone"),
        ("target_order", "", "Say which cone it is fired to"),
        ("hold_min", "-5", "at least 0"),
        ("hold_min", "99999", "at most 6000"),
        ("hold_min", "ten", "Write a whole number"),
        ("kiln", "999", "not on the list. Choose"),
        ("purpose", "boil", "not on the list. Choose"),
        ("atmosphere", "fog", "not on the list. Choose"),
        ("started_at", "0206-10-14T07:00", "looks like a slip"),
        ("started_at", "2926-10-14T07:00", "looks like a slip"),
        ("started_at", "tomorrow", "Write day and time as"),
    ],
)
def test_a_plan_that_cannot_be_is_refused_and_stays_in_the_form(recorder_client, plan, field, typed, said):
    answer = recorder_client.post(NEW, plan | {field: typed, "note": "Top shelf first"})
    page = answer.content.decode()

    assert answer.status_code == 422
    assert said in page
    assert "Top shelf first" in page
    assert not Firing.objects.exists()


def test_a_viewer_plans_nothing(viewer_client, plan):
    assert viewer_client.post(NEW, plan).status_code == 403
    assert not Firing.objects.exists()


def test_a_page_shows_the_source_beside_the_reached_cone(viewer_client):
    firing = FiringFactory(fired=True, reached_number="5.80", reached_source="controller")
    page = viewer_client.get(firing.get_absolute_url()).content.decode()

    assert "5.8" in page
    assert "by controller" in page
    assert "Mark it" not in page


def test_a_page_says_that_the_target_only_stands_in(viewer_client):
    page = viewer_client.get(FiringFactory(fired=True).get_absolute_url()).content.decode()

    assert "the target stands in" in page


def test_a_page_shows_its_tiles_by_shelf_and_the_second_firing(viewer_client):
    shelf = ShelfFactory(position=3)
    firing = FiringFactory(kiln=shelf.kiln)
    tile = TileFactory(number=1042)
    PlacementFactory(tile=tile)
    PlacementFactory(tile=tile, firing=firing, shelf=shelf, place="front", on_cookie=True)
    page = viewer_client.get(firing.get_absolute_url()).content.decode()

    assert "1042-9" in page
    assert "Shelf 3" in page
    assert "front, on a cookie, second firing" in page


def test_a_page_asks_no_more_queries_for_ten_more_tiles(viewer_client):
    shelf = ShelfFactory()
    firing = FiringFactory(kiln=shelf.kiln)
    PlacementFactory(firing=firing, shelf=shelf)
    few = queries_of(viewer_client, firing.get_absolute_url())
    for _ in range(10):
        PlacementFactory(firing=firing, shelf=shelf)

    assert queries_of(viewer_client, firing.get_absolute_url()) == few


def test_the_buttons_lead_from_planned_to_unloaded(recorder_client):
    firing = FiringFactory()
    passed = [firing.state]
    for state in ("loaded", "fired", "unloaded"):
        recorder_client.post(address("state", firing), {"state": state})
        firing.refresh_from_db()
        passed.append(firing.state)

    assert passed == ["planned", "loaded", "fired", "unloaded"]
    assert firing.started_at
    assert firing.unloaded_at


def test_a_state_is_undone_from_the_message(recorder_client):
    firing = FiringFactory()
    # the factory's own save is the version before
    page = recorder_client.post(address("state", firing), {"state": "fired"}, follow=True).content.decode()
    undo = address("undo", firing, firing.history.last().history_id)
    assert undo in page

    recorder_client.post(undo)
    firing.refresh_from_db()

    assert firing.state == "planned"


@pytest.mark.parametrize("state", ["", "boiled", "planned"])
def test_a_state_that_is_none_changes_nothing(recorder_client, state):
    firing = FiringFactory(state="loaded")
    recorder_client.post(address("state", firing), {"state": state})
    firing.refresh_from_db()

    assert firing.state == "loaded"


def test_the_way_on_stays_within_the_studio(recorder_client):
    firing = FiringFactory()
    answer = recorder_client.post(
        address("state", firing), {"state": "loaded", "next": "https://elsewhere.example/"}
    )

    assert answer.url == firing.get_absolute_url()


def test_an_edit_is_kept_with_its_cost(recorder_client, plan):
    firing = FiringFactory(kiln=KilnFactory())
    more = {
        "stamp": firing.stamp,
        "ended_at": "2026-10-14T19:30",
        "controller_number": "5,8",
        "energy_kwh": "42,5",
        "cost": "13.20",
    }
    answer = recorder_client.post(address("edit", firing), plan | more)
    firing.refresh_from_db()

    assert answer.url == firing.get_absolute_url()
    assert (str(firing.energy_kwh), str(firing.cost), str(firing.controller_number)) == (
        "42.50",
        "13.20",
        "5.80",
    )


def test_a_cost_is_reckoned_from_energy_and_price(viewer_client):
    firing = FiringFactory(kiln=KilnFactory(energy_price_per_kwh="0.31"), energy_kwh="42.5")
    page = viewer_client.get(firing.get_absolute_url()).content.decode()

    assert "13.18" in page  # 42.5 × 0.31 = 13.175


def test_switching_off_before_starting_is_refused(recorder_client, plan):
    firing = FiringFactory()
    typed = plan | {"stamp": firing.stamp, "ended_at": "2026-10-13T07:00"}
    answer = recorder_client.post(address("edit", firing), typed)

    assert answer.status_code == 422
    assert "switched off before it started" in answer.content.decode()


def test_two_people_editing_see_both_versions(recorder_client, keeper_client, plan):
    firing = FiringFactory()
    stamp = firing.stamp
    keeper_client.post(address("edit", firing), plan | {"stamp": stamp, "target_order": "5"})
    answer = recorder_client.post(address("edit", firing), plan | {"stamp": stamp, "target_order": "7"})
    page = answer.content.decode()
    firing.refresh_from_db()

    assert answer.status_code == 409
    assert firing.target_label == "5"
    assert ">7<" in page.replace(" ", "")
    assert ">5<" in page.replace(" ", "")


def cones_typed(*rows):
    typed = {"cones-TOTAL_FORMS": len(rows), "cones-INITIAL_FORMS": 0}
    for n, row in enumerate(rows):
        values = {
            "pk": "",
            "order": "",
            "shape": "self_supporting",
            "shelf": "",
            "place": "",
            "bend_deg": "",
        } | row
        typed |= {f"cones-{n}-{name}": value for name, value in values.items()}
    return typed


def test_reading_the_cones_settles_the_reached_cone(recorder_client):
    shelf = ShelfFactory()
    firing = FiringFactory(fired=True, kiln=shelf.kiln)
    rows = [
        {"order": "5", "bend_deg": "90", "shelf": shelf.pk},
        {"order": "6", "bend_deg": "72", "shelf": shelf.pk},
    ]
    answer = recorder_client.post(address("cones", firing), cones_typed(*rows), follow=True)
    firing.refresh_from_db()

    assert (firing.reached_words, firing.reached_source) == ("5.8", "witness")
    assert "It reached 5.8 by witness cones" in answer.content.decode()


def test_a_guide_the_target_and_a_guard_are_proposed(recorder_client):
    page = recorder_client.get(address("cones", FiringFactory(target_order=CONE_6))).content.decode()

    assert [f'value="{cone}"' in page for cone in ("5", "6", "7")] == [True] * 3


def test_a_proposed_cone_that_nobody_touched_is_not_kept(recorder_client):
    firing = FiringFactory(target_order=CONE_6)
    typed = cones_typed({"order": "5"}, {"order": "6", "bend_deg": "85"}, {"order": "7"})
    recorder_client.post(address("cones", firing), typed | {"cones-INITIAL_FORMS": 3})

    assert [(cone.order, cone.bend_deg) for cone in firing.witness_cones.all()] == [(CONE_6, 85)]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"order": "6", "bend_deg": "181"}, "at most 180"),
        ({"order": "6", "bend_deg": "-1"}, "at least 0"),
        ({"order": "1222", "bend_deg": "90"}, "is not a cone"),
        ({"order": "", "bend_deg": "90"}, "Say which cone it is"),
        ({"order": "6", "bend_deg": "90", "shape": "round"}, "not on the list. Choose"),
    ],
)
def test_a_cone_that_cannot_be_is_refused(recorder_client, row, said):
    firing = FiringFactory(fired=True)
    answer = recorder_client.post(address("cones", firing), cones_typed(row))

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not firing.witness_cones.exists()


def test_a_shelf_of_another_kiln_is_refused_for_a_cone(recorder_client):
    firing = FiringFactory(fired=True)
    typed = cones_typed({"order": "6", "bend_deg": "90", "shelf": ShelfFactory().pk})

    assert recorder_client.post(address("cones", firing), typed).status_code == 422


def test_cones_show_by_place_with_what_they_say(viewer_client):
    firing = FiringFactory(fired=True)
    WitnessConeFactory(firing=firing, order=28, bend_deg=90, place="front")
    WitnessConeFactory(firing=firing, order=30, bend_deg=45, place="front")
    page = viewer_client.get(firing.get_absolute_url()).content.decode()

    assert "5.5" in page
    assert "90°" in page


def test_a_note_is_written_with_its_time_and_can_be_taken_back(recorder_client):
    firing = FiringFactory()
    page = recorder_client.post(
        address("note", firing), {"at": "2026-10-14T12:00", "text": "Cracked the lid."}, follow=True
    ).content.decode()
    note = FiringNote.objects.get()
    undo = address("strike_note", firing, note.pk)
    assert "Cracked the lid." in page
    assert undo in page

    recorder_client.post(undo)

    assert not FiringNote.objects.exists()


@pytest.mark.parametrize("typed", [{"at": "2026-10-14T12:00", "text": ""}, {"at": "", "text": "Glow"}])
def test_half_a_note_is_refused_and_kept_in_the_form(recorder_client, typed):
    firing = FiringFactory()
    answer = recorder_client.post(address("note", firing), typed)

    assert answer.status_code == 422
    assert typed["text"] in answer.content.decode()


def test_a_note_of_another_firing_is_not_found(recorder_client):
    note = FiringNoteFactory()

    assert recorder_client.post(address("strike_note", FiringFactory(), note.pk)).status_code == 404


@pytest.mark.parametrize("name", ["firing", "edit", "cones"])
def test_a_firing_in_the_bin_is_not_shown(recorder, recorder_client, name):
    firing = FiringFactory()
    firing.put_in_bin(by=recorder)

    assert recorder_client.get(address(name, firing)).status_code == 404


def test_only_the_last_version_of_a_programme_is_offered(recorder_client):
    first = ProgrammeFactory(name="Slow glaze")
    latest = ProgrammeFactory(name="Slow glaze", version=2, supersedes=first)
    page = recorder_client.get(reverse("firings:logbook:new"))

    assert list(page.context["form"].fields["programme"].queryset) == [latest]


def test_a_firing_keeps_the_version_it_was_planned_on(recorder_client):
    first = ProgrammeFactory(name="Slow glaze")
    latest = ProgrammeFactory(name="Slow glaze", version=2, supersedes=first)
    firing = FiringFactory(programme=first)
    page = recorder_client.get(reverse("firings:logbook:edit", args=[firing.number]))

    assert set(page.context["form"].fields["programme"].queryset) == {first, latest}
    assert page.context["form"]["programme"].value() == first.pk


@pytest.mark.parametrize("told", ["", "x", "9" * 40])
def test_the_choice_of_programmes_is_asked_for_anew(recorder_client, told):
    ProgrammeFactory(name="Written meanwhile")
    page = recorder_client.get(reverse("firings:logbook:programmes"), {"programme": told})

    assert "Written meanwhile" in page.content.decode()
    assert "<html" not in page.content.decode()


def test_what_was_chosen_stays_chosen_when_the_list_is_asked_for(recorder_client):
    chosen = ProgrammeFactory(name="Slow glaze")
    page = recorder_client.get(reverse("firings:logbook:programmes"), {"programme": chosen.pk})

    assert f'<option value="{chosen.pk}" selected>' in page.content.decode()


def test_the_places_this_kiln_used_last_are_proposed(recorder_client):
    shelf = ShelfFactory(position=2)
    before = FiringFactory(number=7, fired=True, kiln=shelf.kiln, target_order=CONE_6)
    WitnessConeFactory(firing=before, shelf=shelf, place="left wall")
    page = recorder_client.get(address("cones", FiringFactory(kiln=shelf.kiln, target_order=CONE_6)))
    first, another = page.context["sets"]

    assert first.where == "shelf 2 left wall"
    assert [form["order"].value() for form in first.forms] == ["5", "6", "7"]
    assert another.is_another
    assert "Add another place" in page.content.decode()


def test_another_place_that_nobody_wanted_is_no_trouble(recorder_client):
    firing = FiringFactory(fired=True, purpose="other", target_order=None)
    page = recorder_client.get(address("cones", firing))
    rows = page.context["rows"]
    typed = {f"cones-{name}": value for name, value in rows.management_form.initial.items()}
    for form in rows.forms:
        typed |= {form.add_prefix(name): form[name].value() or "" for name in form.fields if name != "DELETE"}
    answer = recorder_client.post(address("cones", firing), typed)

    assert answer.status_code == 302
    assert not firing.witness_cones.exists()

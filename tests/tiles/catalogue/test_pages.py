"""Pages of the catalogue: they show, keep, refuse and quick-add."""

import html
import json
import re

import pytest
from django.urls import reverse

from firings.cones import series
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.catalogue import queries
from tiles.columns.queries import standing
from tiles.models import ClayBody, Glaze, GlazeBatch, TileForm

pytestmark = pytest.mark.django_db

GLAZE = {
    "name": "Harbour", "kind": "glaze", "maker": "", "swatch": "#335577", "cone_low_order": "cone 5",
    "cone_high_order": "10", "surface": "satin", "opacity": "opaque", "coats_low": "2", "coats_high": "3",
    "drying_min": "30", "thinning": "a little water", "cautions": "Harmful if breathed as dust.", "note": "",
}  # fmt: skip
FORM = {
    "name": "Three bands", "shape": "flat", "upright": "on", "width_mm": "70", "height_mm": "110",
    "thickness_mm": "7", "note": "",
}  # fmt: skip


def rows(*zones: tuple[str, str, str, str, str, str]) -> dict[str, str]:
    """Zone rows as a browser posts them."""
    posted = {"form-TOTAL_FORMS": str(len(zones)), "form-INITIAL_FORMS": "0"}
    for n, (name, face, x, y, width, height) in enumerate(zones):
        values = {
            "name": name,
            "kind": "band",
            "face": face,
            "x_mm": x,
            "y_mm": y,
            "width_mm": width,
            "height_mm": height,
        }
        posted |= {f"form-{n}-{key}": value for key, value in values.items()}
    return posted


def test_the_index_is_useful_when_empty(viewer_client):
    page = viewer_client.get(reverse("tiles:catalogue:index"))

    assert "No glaze yet" in page.content.decode()
    assert "No clay body yet" in page.content.decode()


def test_a_glaze_is_kept_with_what_its_label_says(recorder_client, recorder):
    answer = recorder_client.post(reverse("tiles:catalogue:new_glaze"), GLAZE)

    glaze = Glaze.objects.get()
    assert answer.status_code == 302
    assert answer["Location"] == glaze.get_absolute_url()
    assert (series.label_of(glaze.cone_low_order), series.label_of(glaze.cone_high_order)) == ("5", "10")
    assert glaze.created_by == recorder
    assert "Harmful if breathed as dust." in recorder_client.get(answer["Location"]).content.decode()


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("name", "", "Fill this in."),
        ("cone_low_order", "15", "is not a cone"),
        ("cone_low_order", "12", "runs backwards"),
        ("coats_high", "1", "runs backwards"),
        ("coats_high", "99", "surely a slip"),
        ("drying_min", "9999", "in minutes"),
        ("swatch", "blue", "Choose a colour"),
        ("kind", "paint", "is not on the list. Choose one"),
    ],
)
def test_a_slip_is_said_at_the_field_and_loses_nothing(recorder_client, field, typed, words):
    answer = recorder_client.post(reverse("tiles:catalogue:new_glaze"), {**GLAZE, field: typed})

    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert "a little water" in page
    assert not Glaze.objects.exists()


def test_a_name_in_use_is_refused_whatever_its_case_but_one_in_the_bin_is_free(recorder_client, recorder):
    old = GlazeFactory(name="HARBOUR")

    assert recorder_client.post(reverse("tiles:catalogue:new_glaze"), GLAZE).status_code == 422
    old.put_in_bin(by=recorder)
    assert recorder_client.post(reverse("tiles:catalogue:new_glaze"), GLAZE).status_code == 302


def test_two_people_at_one_glaze_see_both_versions(recorder_client):
    glaze = GlazeFactory(name="Harbour", thinning="none")
    opened = glaze.stamp
    glaze.thinning = "ten drops to the jar"
    glaze.save()

    answer = recorder_client.post(
        reverse("tiles:catalogue:edit_glaze", args=[glaze.pk]), {**GLAZE, "stamp": opened}
    )

    page = answer.content.decode()
    assert answer.status_code == 409
    assert "a little water" in page
    assert "ten drops to the jar" in page
    assert Glaze.objects.get().thinning == "ten drops to the jar"


def test_keeping_mine_after_a_conflict_writes_what_was_typed(recorder_client):
    glaze = GlazeFactory(name="Harbour")
    glaze.save()

    answer = recorder_client.post(
        reverse("tiles:catalogue:edit_glaze", args=[glaze.pk]), {**GLAZE, "stamp": glaze.stamp}
    )

    assert answer.status_code == 302
    assert Glaze.objects.get().thinning == "a little water"
    assert Glaze.history.count() == 3


def test_quick_add_tells_the_selects_of_the_new_choice(recorder_client):
    typed = {
        "name": "Kelp",
        "kind": "glaze",
        "swatch": "#223344",
        "cone_low_order": "",
        "cone_high_order": "",
    }
    answer = recorder_client.post(reverse("tiles:catalogue:glaze_add"), typed, headers={"HX-Request": "true"})

    assert answer.status_code == 204
    assert json.loads(answer["HX-Trigger"]) == {
        "added": {"kind": "glaze", "value": Glaze.objects.get().pk, "label": "Kelp"}
    }


def test_quick_add_works_as_a_page_without_scripts(recorder_client):
    address = reverse("tiles:catalogue:body_add")
    typed = {"name": "Dune", "colour_family": "buff", "speckled": "on", "swatch": "#c9b48a"}

    assert "<html" in recorder_client.get(address).content.decode()
    assert recorder_client.post(address, {**typed, "name": ""}).status_code == 422
    assert recorder_client.post(address, typed)["Location"] == ClayBody.objects.get().get_absolute_url()


def test_a_lot_reads_a_decimal_comma_and_wants_its_cup(recorder_client):
    glaze = GlazeFactory()
    address = reverse("tiles:catalogue:new_batch", args=[glaze.pk])
    typed = {
        "glaze": glaze.pk,
        "lot": "24-118",
        "opened_on": "2026-09-02",
        "specific_gravity": "1,46",
        "flow_s": "18",
    }

    assert "Say which cup" in recorder_client.post(address, typed).content.decode()
    assert recorder_client.post(address, {**typed, "flow_cup": "ford_4"}).status_code == 302
    assert str(GlazeBatch.objects.get().specific_gravity) == "1.460"


def test_the_same_lot_of_one_glaze_is_refused_and_of_another_is_not(recorder_client):
    batch = GlazeBatchFactory(lot="24-118")
    other = GlazeFactory()

    def keep(glaze):
        return recorder_client.post(
            reverse("tiles:catalogue:new_batch", args=[glaze.pk]), {"glaze": glaze.pk, "lot": "24-118"}
        ).status_code

    assert keep(batch.glaze) == 422
    assert keep(other) == 302


def test_a_form_is_kept_with_its_zones_in_order(recorder_client):
    zones = rows(
        ("left", "front", "5", "5", "30", "80"),
        ("right", "front", "35", "5", "30", "80,5"),
        ("", "front", "", "", "", ""),
    )
    answer = recorder_client.post(reverse("tiles:catalogue:new_form"), {**FORM, **zones})

    assert answer.status_code == 302, answer.content.decode()
    assert [zone.name for zone in TileForm.objects.get().zones.all()] == ["left", "right"]
    assert str(TileForm.objects.get().zones.last().height_mm) == "80.5"


def test_a_zone_that_reaches_past_its_face_says_so_at_the_figure_to_change(recorder_client):
    """Twelve zones of nine figures each are many screens of a phone, which opens at a figure that is marked."""
    wide = rows(("left", "front", "5", "5", "30", "80"), ("right", "front", "35", "5", "300", "80"))

    page = recorder_client.post(reverse("tiles:catalogue:new_form"), {**FORM, **wide})

    assert [list(row.errors) for row in page.context["rows"]][:2] == [[], ["width_mm"]]
    marked = re.search(r"<input[^>]*name=.form-1-width_mm.[^>]*>", page.content.decode())
    assert 'aria-invalid="true"' in marked[0]


def test_zones_that_overlap_or_are_missing_are_refused_and_nothing_is_lost(recorder_client):
    address = reverse("tiles:catalogue:new_form")
    overlapping = rows(("left", "front", "5", "5", "40", "80"), ("right", "front", "35", "5", "30", "80"))

    page = recorder_client.post(address, {**FORM, **overlapping})
    none = recorder_client.post(address, {**FORM, **rows(("", "front", "", "", "", ""))})

    assert page.status_code == none.status_code == 422
    assert "left and right overlap on the front" in page.content.decode()
    assert 'value="left"' in page.content.decode()
    assert "needs a zone at least" in none.content.decode()
    assert not TileForm.objects.exists()


def test_the_zones_of_a_form_in_use_stay_as_they_are(recorder_client):
    tile = TileFactory()
    address = reverse("tiles:catalogue:edit_form", args=[tile.form.pk])

    page = recorder_client.get(address).content.decode()
    recorder_client.post(address, {"name": "Renamed", "note": "", "stamp": tile.form.stamp})

    assert "width_mm" not in page
    assert TileForm.objects.get().name == "Renamed"
    assert tile.form.zones.count() == 5


def test_a_new_form_starts_from_one_it_is_like(recorder_client):
    like = TileFormFactory(width_mm=90)

    page = recorder_client.get(reverse("tiles:catalogue:new_form"), {"like": like.pk}).content.decode()

    assert 'value="90"' in page
    assert 'value="texture"' in page


def test_results_are_counted_beside_each_glaze_and_body(viewer_client):
    glaze, body = GlazeFactory(name="Harbour"), ClayBodyFactory(name="Dune")
    tile = glaze_tile(TileFactory(body=body), (glaze, {"band 1": 1, "band 2": 2}))
    fired_outcomes(tile, FiringFactory(fired=True))

    page = viewer_client.get(reverse("tiles:catalogue:index")).content.decode()

    assert page.count("2 results") == 2


@pytest.mark.django_db(transaction=True)
def test_results_are_counted_alike_from_memory_and_by_the_database_the_bin_left_out():
    glaze, under, body = GlazeFactory(), GlazeFactory(), ClayBodyFactory()
    for _ in range(3):
        tile = glaze_tile(TileFactory(body=body), (under, {"band 1": 1}), (glaze, {"band 1": 1, "band 2": 2}))
        fired_outcomes(tile, FiringFactory(fired=True))
    glaze_tile(TileFactory(body=body), (glaze, {"band 1": 1}))
    tile.put_in_bin(by=None)

    held = standing()
    assert held is not None
    assert {one.pk: one.result_count for one in queries.all_glazes()} == {glaze.pk: 4, under.pk: 2}
    assert [one.result_count for one in queries.all_bodies()] == [4]
    for by_memory, by_database in (
        (queries.all_glazes(), queries.glazes()),
        (queries.all_bodies(), queries.bodies()),
    ):
        assert [(one.pk, one.result_count) for one in by_memory] == [
            (one.pk, one.result_count) for one in by_database
        ]
    assert {one.pk for one in queries.fired_glazes()} == {glaze.pk, under.pk}


def test_a_viewer_reads_but_does_not_write(viewer_client):
    glaze = GlazeFactory()

    assert viewer_client.get(glaze.get_absolute_url()).status_code == 200
    assert viewer_client.get(reverse("tiles:catalogue:edit_glaze", args=[glaze.pk])).status_code == 403
    assert viewer_client.post(reverse("tiles:catalogue:new_glaze"), GLAZE).status_code == 403


def test_the_index_asks_the_same_of_the_database_for_many(viewer_client, django_assert_max_num_queries):
    for _ in range(12):
        GlazeFactory()
        ClayBodyFactory()
        TileFormFactory()

    with django_assert_max_num_queries(12):
        viewer_client.get(reverse("tiles:catalogue:index"))


def undo_of(client, address):
    """Where the button of the message on a page posts to."""
    found = re.findall(
        r'<form action="(/history/[^"]+)" method="post">', client.get(address).content.decode()
    )
    assert found, "the message has no Undo"
    return html.unescape(found[-1])


def test_glazes_are_written_one_after_the_other_and_what_they_share_stays(recorder_client):
    form = reverse("tiles:catalogue:new_glaze")
    answer = recorder_client.post(form, GLAZE | {"maker": "Lower Mill", "then": "next"})

    harbour = Glaze.objects.get()
    assert answer["Location"] == f"{form}?like={harbour.pk}"
    begun = recorder_client.get(answer["Location"]).context["form"]
    assert begun["maker"].value() == "Lower Mill"
    assert (begun["coats_low"].value(), begun["coats_high"].value()) == (2, 3)
    assert not any(begun[name].value() for name in ("name", "surface", "cautions", "note"))


def test_a_changed_glaze_opens_no_form_for_the_next(recorder_client):
    glaze = GlazeFactory()

    page = recorder_client.get(reverse("tiles:catalogue:edit_glaze", args=[glaze.pk])).content.decode()

    assert "Keep and write the next" not in page


@pytest.mark.parametrize("like", ["", "x", "9" * 30, "-1", "٣"])
def test_a_form_begun_like_nothing_is_empty(recorder_client, like):
    page = recorder_client.get(f"{reverse('tiles:catalogue:new_body')}?like={like}")

    assert page.context["form"]["cone_low_order"].value() is None


def test_lots_of_one_day_are_written_one_after_the_other(recorder_client):
    glaze = GlazeFactory()
    form = reverse("tiles:catalogue:new_batch", args=[glaze.pk])
    typed = {"glaze": glaze.pk, "lot": "24-118", "opened_on": "2026-10-14", "then": "next"}

    begun = recorder_client.get(recorder_client.post(form, typed)["Location"]).context["form"]

    assert str(begun["opened_on"].value()) == "2026-10-14"
    assert begun["glaze"].value() == glaze.pk
    assert not begun["lot"].value()


def test_a_new_glaze_is_undone_from_its_message(recorder_client):
    answer = recorder_client.post(reverse("tiles:catalogue:new_glaze"), GLAZE)

    back = recorder_client.post(undo_of(recorder_client, answer["Location"]))

    assert not Glaze.objects.exists()
    assert back["Location"] == reverse("tiles:catalogue:index")


def test_a_change_to_a_glaze_is_undone_from_its_message(recorder_client):
    recorder_client.post(reverse("tiles:catalogue:new_glaze"), GLAZE)
    glaze = Glaze.objects.get()
    changed = GLAZE | {"thinning": "none", "stamp": str(glaze.stamp)}
    answer = recorder_client.post(reverse("tiles:catalogue:edit_glaze", args=[glaze.pk]), changed)
    assert Glaze.objects.get().thinning == "none"

    recorder_client.post(undo_of(recorder_client, answer["Location"]))

    assert Glaze.objects.get().thinning == "a little water"


def test_no_undo_is_offered_for_zones_it_could_not_bring_back(recorder_client):
    zones = rows(("left", "front", "5", "5", "30", "80"))
    recorder_client.post(reverse("tiles:catalogue:new_form"), {**FORM, **zones})
    form = TileForm.objects.get()
    recorder_client.get(form.get_absolute_url())

    changed = recorder_client.post(
        reverse("tiles:catalogue:edit_form", args=[form.pk]), {**FORM, **zones, "stamp": form.stamp}
    )
    page = recorder_client.get(changed["Location"]).content.decode()

    assert f"{form} is kept." in page
    assert '<form action="/history/' not in page


def test_undoing_a_change_leaves_what_another_person_changed_since(recorder_client):
    recorder_client.post(reverse("tiles:catalogue:new_glaze"), GLAZE)
    glaze = Glaze.objects.get()
    changed = GLAZE | {"thinning": "none", "stamp": str(glaze.stamp)}
    answer = recorder_client.post(reverse("tiles:catalogue:edit_glaze", args=[glaze.pk]), changed)
    undo = undo_of(recorder_client, answer["Location"])
    later = Glaze.objects.get()
    later.note = "Stir well."
    later.save()

    recorder_client.post(undo)

    assert (Glaze.objects.get().thinning, Glaze.objects.get().note) == ("none", "Stir well.")


@pytest.mark.parametrize("factory", [GlazeFactory, ClayBodyFactory, TileFormFactory])
def test_what_the_catalogue_keeps_leads_to_who_changed_it(viewer_client, factory):
    record = factory()
    page = viewer_client.get(record.get_absolute_url()).content.decode()
    history = reverse("history:changes", args=["tiles", record._meta.model_name, record.pk])

    assert f'href="{history}"' in page
    assert viewer_client.get(history).status_code == 200


IN_THE_CATALOGUE = [
    (GlazeFactory, "glaze", lambda record: glaze_tile(TileFactory(), (record, {"band 1": 1}))),
    (ClayBodyFactory, "claybody", lambda record: TileFactory(body=record)),
    (TileFormFactory, "tileform", lambda record: TileFactory(form=record)),
]


@pytest.mark.parametrize(("make", "model", "use"), IN_THE_CATALOGUE, ids=[one[1] for one in IN_THE_CATALOGUE])
def test_what_no_tile_needs_goes_to_the_bin_from_its_page_and_comes_back_from_the_message(
    recorder_client, make, model, use
):
    record = make()
    address = reverse("history:bin", args=["tiles", model, record.pk])
    page = recorder_client.get(record.get_absolute_url()).content.decode()
    assert f'action="{address}"' in page

    answer = recorder_client.post(address, {"next": reverse("tiles:catalogue:index")}, follow=True)
    (message,) = answer.context["messages"]
    assert answer.redirect_chain[-1][0] == reverse("tiles:catalogue:index")
    assert not type(record).objects.filter(pk=record.pk).exists()

    recorder_client.post(message.extra_tags)
    assert type(record).objects.filter(pk=record.pk).exists()


@pytest.mark.parametrize(("make", "model", "use"), IN_THE_CATALOGUE, ids=[one[1] for one in IN_THE_CATALOGUE])
def test_what_a_tile_needs_is_not_offered_the_bin_nor_is_anything_to_a_viewer(
    recorder_client, viewer_client, make, model, use
):
    record = make()
    bin_address = reverse("history:bin", args=["tiles", model, record.pk])
    assert bin_address not in viewer_client.get(record.get_absolute_url()).content.decode()

    tile = use(record)
    page = recorder_client.get(record.get_absolute_url()).content.decode()
    assert bin_address not in page
    assert "1 tile needs this" in page

    tile.put_in_bin(by=None)
    page = recorder_client.get(record.get_absolute_url()).content.decode()
    assert bin_address in page
    assert "1 tile" not in page


def test_tags_gather_the_catalogue_and_a_slip_in_one_keeps_what_was_typed(recorder_client):
    address = reverse("tiles:catalogue:new_glaze")
    slip = recorder_client.post(address, {**GLAZE, "tags": "liner, chun/blue"})
    assert slip.status_code == 422
    assert "“chun/blue” cannot be a tag" in slip.content.decode()
    assert "Harmful if breathed as dust." in slip.content.decode()

    recorder_client.post(address, {**GLAZE, "tags": "Liner,  for the  shop, liner"})
    GlazeFactory(name="Lantern", tags="")
    glaze = Glaze.objects.get(name="Harbour")
    assert glaze.tags == "for the shop, liner"

    page = recorder_client.get(reverse("tiles:catalogue:index"), {"tag": "liner"}).content.decode()
    assert "Harbour" in page
    assert "Lantern" not in page
    assert "/evidence/tag/liner/" in page
    assert "?tag=for%20the%20shop" in recorder_client.get(glaze.get_absolute_url()).content.decode()
    none = recorder_client.get(reverse("tiles:catalogue:index"), {"tag": "<b>/"}).content.decode()
    assert "No glaze has this tag" in none
    assert "<b>/" not in none


@pytest.mark.parametrize("held", [True, False], ids=["counted from memory", "counted by the database"])
def test_a_tag_gathers_whole_words_alone_with_their_results(recorder_client, monkeypatch, held):
    if not held:
        monkeypatch.setattr("tiles.catalogue.queries.standing", lambda: None)
    liner = GlazeFactory(name="Harbour", tags="for the shop, liner")
    GlazeFactory(name="Moss", tags="liner for the shop")
    GlazeFactory(name="Tide", tags="")
    fired_outcomes(glaze_tile(TileFactory(), (liner, {"band 1": 1})), FiringFactory(fired=True))

    found = recorder_client.get("/catalogue/?tag=liner").context["glazes"]
    assert [(glaze.name, glaze.result_count) for glaze in found] == [("Harbour", 1)]
    assert len(recorder_client.get("/catalogue/").context["glazes"]) == 3


@pytest.mark.parametrize(("typed", "kept"), [("1,5%", "1.5"), ("1.5 %", "1.5"), ("3", "3.0")])
def test_an_absorption_may_be_typed_with_the_sign_its_label_has(keeper_client, typed, kept):
    address = reverse("tiles:catalogue:new_body")
    keeper_client.post(
        address,
        {"name": "Dune", "colour_family": "white", "swatch": "#e9e2d3", "absorption_pct": typed},
    )

    assert str(ClayBody.objects.get().absorption_pct) == kept


def test_an_absorption_with_another_unit_is_refused_and_stays_typed(keeper_client):
    answer = keeper_client.post(
        reverse("tiles:catalogue:new_body"),
        {"name": "Dune", "colour_family": "white", "swatch": "#e9e2d3", "absorption_pct": "3 mm"},
    )

    assert answer.status_code == 422
    assert "is not a figure" in answer.content.decode()
    assert 'value="3 mm"' in answer.content.decode()

"""The glazing page: works, refuses each bad input, loses nothing typed, and keeps each role to its own."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.factories import (
    ClayBodyFactory,
    GlazeBatchFactory,
    GlazeFactory,
    PlacementFactory,
    SeriesFactory,
    TileFactory,
    TileFormFactory,
    glaze_tile,
)
from tiles import numbers
from tiles.models import Layer, Tile

pytestmark = pytest.mark.django_db

NEW = reverse("tiles:recording:new")
ZONES = ("band 1", "band 2", "band 3", "texture", "back")


@pytest.fixture
def form():
    return TileFormFactory(name="Board tile")


@pytest.fixture
def body():
    return ClayBodyFactory(name="Dune speckled")


@pytest.fixture
def harbour():
    return GlazeFactory(name="Harbour")


@pytest.fixture
def typed(form, body, harbour):
    """A page filled in well: one layer of Harbour, rising coats on three bands."""
    coats = {f"coats-n1-{zone}": amount for zone, amount in zip(ZONES, ("1", "2", "3", "", "3"), strict=True)}
    return {
        "form": form.pk,
        "body": body.pk,
        "glazed_on": "2026-10-12",
        "layer": ["n1"],
        "glaze-n1": harbour.pk,
        "method-n1": "brush",
        "tool-n1": "40 mm soft brush",
        **coats,
        "copies": "1",
        "varying": "nothing",
        "do": "save",
    }


def coats_of(tile):
    return {
        coverage.zone.name: coverage.coats or coverage.dip_s
        for layer in tile.layers.all()
        for coverage in layer.coverages.all()
    }


def stands(answer, name):
    """What stands in a box of the answered page."""
    page = answer.content.decode()
    box = re.search(rf'<(?:input|textarea)[^>]*\bname="{re.escape(name)}"[^>]*>', page)
    assert box, f"no box {name}"
    value = re.search(r'\bvalue="([^"]*)"', box[0])
    return value[1] if value else ""


def chosen(answer, name):
    """What is chosen in a select of the answered page."""
    found = re.search(rf'<select[^>]*\bname="{re.escape(name)}".*?</select>', answer.content.decode(), re.S)
    assert found, f"no select {name}"
    option = re.search(r'value="([^"]*)"\s+selected', found[0])
    return option[1] if option else ""


class TestNewTiles:
    def test_a_tile_is_recorded_and_shown(self, recorder_client, recorder, typed):
        answer = recorder_client.post(NEW, typed)
        tile = Tile.objects.get()

        assert answer.status_code == 302
        assert answer.url == tile.get_absolute_url()
        assert coats_of(tile) == {"band 1": 1, "band 2": 2, "band 3": 3, "back": 3}
        assert (tile.number, tile.glazed_by) == (numbers.FIRST, recorder)

    def test_a_bare_tile_may_be_recorded_before_it_is_glazed(self, recorder_client, typed):
        recorder_client.post(NEW, {**typed, "layer": [], "glazed_on": ""})

        assert Tile.objects.get().layers.count() == 0

    def test_a_row_left_blank_is_no_layer(self, recorder_client, typed):
        recorder_client.post(NEW, {**typed, "layer": ["n2", "n1"], "tool-n2": "40 mm soft brush"})

        assert Layer.objects.count() == 1

    def test_the_top_row_of_the_page_is_the_top_layer(self, recorder_client, typed):
        flux = GlazeFactory(name="Flux L")
        under = {"glaze-n2": flux.pk, "coats-n2-band 3": "1", "method-n2": "brush"}
        recorder_client.post(NEW, {**typed, **under, "layer": ["n1", "n2"]})

        assert [layer.glaze.name for layer in Layer.objects.order_by("position")] == ["Flux L", "Harbour"]

    def test_the_number_incised_already_is_taken(self, recorder_client, typed):
        recorder_client.post(NEW, {**typed, "numbers": "1042-9"})

        assert Tile.objects.get().label == "1042-9"

    def test_seconds_of_a_dip_are_recorded(self, recorder_client, typed):
        dip = {f"coats-n1-{zone}": "" for zone in ZONES} | {"method-n1": "dip", "coats-n1-back": "2,5 s"}
        recorder_client.post(NEW, {**typed, **dip})

        assert {zone: float(seconds) for zone, seconds in coats_of(Tile.objects.get()).items()} == {
            "back": 2.5
        }

    def test_the_page_sent_twice_makes_its_tiles_once(self, recorder_client, typed):
        first = recorder_client.post(NEW, {**typed, "page": "mark"})
        second = recorder_client.post(NEW, {**typed, "page": "mark"})

        assert Tile.objects.count() == 1
        assert second.url == first.url

    def test_the_undo_of_the_message_puts_the_tiles_in_the_bin(self, recorder_client, typed):
        recorder_client.post(NEW, {**typed, "copies": "3"})
        labels = ",".join(tile.label for tile in Tile.objects.all())
        recorder_client.post(f"{reverse('tiles:recording:bin_tiles')}?tiles={labels}")
        assert not Tile.objects.exists()

        recorder_client.post(f"{reverse('tiles:recording:unbin_tiles')}?tiles={labels}")
        assert Tile.objects.count() == 3

    def test_the_next_page_starts_with_what_was_used_last(self, recorder_client, typed, form, body, harbour):
        lot = GlazeBatchFactory(glaze=harbour)
        other = TileFormFactory(name="A first form")
        recorder_client.post(NEW, {**typed, "batch-n1": lot.pk, "method-n1": "spray", "tool-n1": "nozzle"})
        page = recorder_client.get(NEW)

        assert other.pk != form.pk
        assert (chosen(page, "form"), chosen(page, "body")) == (str(form.pk), str(body.pk))
        assert (chosen(page, "method-n1"), stands(page, "tool-n1")) == ("spray", "nozzle")
        assert page.context["drawing"]["last_lots"] == {str(harbour.pk): lot.pk}

    def test_a_studio_without_a_form_is_told_what_to_do_first(self, recorder_client):
        assert b"Describe a form" in recorder_client.get(NEW).content

    def test_a_series_asked_for_in_the_address_is_chosen(self, recorder_client, form):
        series = SeriesFactory()

        assert chosen(recorder_client.get(f"{NEW}?series={series.pk}"), "series") == str(series.pk)

    @pytest.mark.parametrize("asked", ["form=999", "form=x", "body=-1", "series=' or 1"])
    def test_an_odd_address_still_opens_the_page(self, recorder_client, form, asked):
        assert recorder_client.get(f"{NEW}?{asked}").status_code == 200


REFUSALS = {
    "no body": ({"body": ""}, "Choose a clay body"),
    "unknown form": ({"form": "999"}, "Choose a tile form"),
    "unknown glaze": ({"glaze-n1": "999"}, "not in the catalogue"),
    "no glaze": ({"glaze-n1": ""}, "Choose the glaze"),
    "no coats anywhere": ({f"coats-n1-{zone}": "" for zone in ZONES}, "at least one zone"),
    "0 coats": ({"coats-n1-band 1": "0"}, "Leave it empty"),
    "21 coats": ({"coats-n1-band 1": "21"}, "At most 20 coats"),
    "a dip with coats": ({"method-n1": "dip", "coats-n1-band 1": "2 coats"}, "write seconds"),
    "coats in seconds": ({"coats-n1-band 1": "3 s"}, "choose dipped"),
    "unknown method": ({"method-n1": "thrown"}, "Choose how it went on"),
    "unknown lot": ({"batch-n1": "999"}, "lot is not in the catalogue"),
    "gravity under water": ({"gravity-n1": "0.8"}, "Between 1 and 2.5"),
    "wrong check digit": ({"numbers": "1042-8"}, "one digit is wrong"),
    "swapped digits": ({"numbers": "1024-9"}, "two are swapped"),
    "no number at all": ({"numbers": "harbour"}, "digits and a check digit"),
    "too few numbers": ({"numbers": "1042-9", "copies": "2"}, "1 number for 2 tiles"),
    "a number twice": ({"numbers": "1042-9, 1042-9", "copies": "2"}, "twice"),
    "no tiles": ({"copies": "0"}, "Write how many tiles, 1 to 200"),
    "too many tiles": ({"copies": "201"}, "Write how many tiles, 1 to 200"),
    "too many kinds": ({"copies": "100", "varying": "cone", "cones": "5, 6, 7"}, "at most 200"),
    "one mass for two tiles": ({"mass-n1-band 1": "2.4", "copies": "2"}, "belongs to one tile"),
    "no cones": ({"varying": "cone"}, "Which cones"),
    "no cone of the series": ({"varying": "cone", "cones": "15"}, "not a cone"),
    "no bodies": ({"varying": "body"}, "Which bodies"),
    "no amounts": ({"varying": "coats"}, "How many coats"),
    "varying what": ({"varying": "weather"}, "Choose what varies"),
    "planned cone": ({"planned": "99"}, "not a cone"),
    "a day to come": ({"glazed_on": "2999-01-01"}, "still to come"),
    "no day": ({"glazed_on": "soon"}, "Write the day as"),
}


class TestRefusals:
    @pytest.mark.parametrize(("wrong", "words"), REFUSALS.values(), ids=REFUSALS.keys())
    def test_what_is_wrong_is_said_and_nothing_is_made(self, recorder_client, typed, wrong, words):
        answer = recorder_client.post(NEW, {**typed, **wrong})

        assert answer.status_code == 422
        assert words in answer.content.decode()
        assert not Tile.objects.exists()

    def test_a_number_that_a_tile_has_is_refused(self, recorder_client, typed):
        TileFactory(number=1042)
        answer = recorder_client.post(NEW, {**typed, "numbers": "1042-9"})

        assert answer.status_code == 422
        assert "There is a tile 1042-9 already" in answer.content.decode()

    def test_a_lot_of_another_glaze_is_refused_by_name(self, recorder_client, typed):
        stray = GlazeBatchFactory(glaze=GlazeFactory(name="Flux L"), lot="F-3")
        answer = recorder_client.post(NEW, {**typed, "batch-n1": stray.pk})

        assert "Lot F-3 is of Flux L, not of Harbour." in answer.content.decode()
        assert chosen(answer, "batch-n1") == str(stray.pk)

    def test_everything_typed_stays(self, recorder_client, typed, form, body, harbour):
        lot = GlazeBatchFactory(glaze=harbour)
        more = {
            "layer": ["n2", "n1"],
            "coats-n2-back": "7",
            "glaze-n2": "",
            "method-n2": "trail",
            "tool-n2": "slip trailer",
            "gravity-n2": "1,7",
            "mass-n1-band 1": "2,4",
            "thick-n1-band 1": "0,3",
            "batch-n1": lot.pk,
            "coats-n1-band 2": "twenty-one",
            "coats-n1-zone of another form": "4",
            "body_lot": "D-12",
            "planned": "5½",
            "note": "on the thick batch",
            "numbers": "1042-9, 1043",
            "copies": "2",
            "varying": "cone",
            "cones": "5, sixish",
            "amounts": "1-4",
        }
        answer = recorder_client.post(NEW, {**typed, **more})
        boxes = [name for name in (*typed, *more) if name not in ("layer", "do", "note", "varying")]
        selects = {"form", "body", "glaze-n1", "glaze-n2", "method-n1", "method-n2", "batch-n1"}
        kept = {**typed, **more}

        assert answer.status_code == 422
        assert {name: stands(answer, name) for name in boxes if name not in selects} == {
            name: str(kept[name]) for name in boxes if name not in selects
        }
        assert {name: chosen(answer, name) for name in selects} == {name: str(kept[name]) for name in selects}
        assert "on the thick batch" in answer.content.decode()
        assert re.findall(r'name="layer"\s+value="(n\d)"', answer.content.decode()) == ["n2", "n1"]

    @pytest.mark.parametrize(
        "odd",
        [
            {"form": "x", "body": "y", "series": "z", "bisque_firing": "q"},
            {"layer": ["../..", "n1", "n1"], "do": "up nobody"},
            {"layer": [f"n{count}" for count in range(60)], "do": "add"},
            {"glaze-n1": "9" * 40, "batch-n1": "-1", "after-n1": "x"},
            {"copies": "many", "of_layer": "17", "bodies": ["x"]},
            {"coats-n1-" + "z" * 300: "3", "glazed_on": "0000-00-00"},
        ],
    )
    def test_no_odd_post_breaks_the_page(self, recorder_client, typed, odd):
        assert recorder_client.post(NEW, {**typed, **odd}).status_code in (200, 422)


class TestWithoutScripts:
    def test_a_button_adds_a_layer_on_top_and_keeps_all_that_was_typed(self, recorder_client, typed):
        answer = recorder_client.post(NEW, {**typed, "do": "add"})
        page = answer.content.decode()

        assert answer.status_code == 200
        assert re.findall(r'name="layer"\s+value="(n\d)"', page) == ["n2", "n1"]
        assert stands(answer, "coats-n1-band 3") == "3"
        assert "errorlist" not in page
        assert not Tile.objects.exists()

    def test_layers_move_and_leave_by_buttons(self, recorder_client, typed):
        two = {**typed, "layer": ["n2", "n1"]}
        order = r'name="layer"\s+value="(n\d)"'
        up = recorder_client.post(NEW, {**two, "do": "up n1"}).content.decode()
        out = recorder_client.post(NEW, {**two, "do": "remove n2"}).content.decode()

        assert re.findall(order, up) == ["n1", "n2"]
        assert re.findall(order, out) == ["n1"]

    def test_another_form_brings_its_zones_and_keeps_those_it_has_not(self, recorder_client, typed):
        other = TileFormFactory(zones=())
        answer = recorder_client.post(NEW, {**typed, "form": other.pk, "do": "show"})

        assert stands(answer, "coats-n1-band 3") == "3"

    def test_the_list_of_tiles_is_shown_on_the_page(self, recorder_client, typed):
        answer = recorder_client.post(NEW, {**typed, "do": "show", "varying": "cone", "cones": "5, 6"})

        assert "cone 6" in answer.content.decode()


class TestOnePatternManyTiles:
    def test_one_for_each_body(self, recorder_client, typed, body):
        dark = ClayBodyFactory()
        answer = recorder_client.post(
            NEW, {**typed, "varying": "body", "bodies": [body.pk, dark.pk], "copies": "2"}
        )

        assert sorted(Tile.objects.values_list("body", flat=True)) == [body.pk, body.pk, dark.pk, dark.pk]
        assert answer.url.startswith(reverse("tiles:recording:made"))
        assert "4 tiles kept" in recorder_client.get(answer.url).content.decode()

    def test_one_for_each_cone(self, recorder_client, typed):
        recorder_client.post(NEW, {**typed, "varying": "cone", "cones": "5, 6, 10"})

        # Ranks in the published series: firings/cones/cones.csv
        assert sorted(Tile.objects.values_list("planned_order", flat=True)) == [28, 30, 34]

    def test_rising_coats_of_one_layer(self, recorder_client, typed):
        recorder_client.post(NEW, {**typed, "varying": "coats", "of_layer": "n1", "amounts": "1 to 4"})

        assert [coats_of(tile)["band 1"] for tile in Tile.objects.order_by("number")] == [1, 2, 3, 4]

    def test_of_several_layers_the_one_that_varies_must_be_chosen(self, recorder_client, typed, harbour):
        two = {"layer": ["n2", "n1"], "glaze-n2": harbour.pk, "coats-n2-back": "1", "method-n2": "brush"}
        answer = recorder_client.post(NEW, {**typed, **two, "varying": "coats", "amounts": "1-2"})

        assert "The coats of which layer?" in answer.content.decode()

    def test_the_preview_shows_numbers_and_what_differs(self, recorder_client, typed):
        dark = ClayBodyFactory(name="Peat dark")
        answer = recorder_client.post(
            reverse("tiles:recording:preview"),
            {**typed, "varying": "body", "bodies": [dark.pk], "copies": "2"},
        )
        page = answer.content.decode()

        assert [numbers.write(number) in page for number in (1001, 1002, 1003)] == [True, True, False]
        assert page.count("Peat dark") == 2

    def test_the_preview_of_a_page_half_filled_says_what_is_needed(self, recorder_client, typed):
        answer = recorder_client.post(reverse("tiles:recording:preview"), {**typed, "varying": "cone"})

        assert answer.status_code == 200
        assert "Which cones?" in answer.content.decode()

    def test_forty_tiles_ask_no_more_questions_than_a_handful(
        self, recorder_client, typed, django_assert_max_num_queries
    ):
        with django_assert_max_num_queries(55):
            answer = recorder_client.post(NEW, {**typed, "copies": "40"})

        assert answer.status_code == 302
        assert Tile.objects.count() == 40


@pytest.fixture
def tile(form, body, harbour):
    return glaze_tile(TileFactory(form=form, body=body), (harbour, {"band 1": 1, "back": 3}))


class TestSameAgain:
    def test_the_page_is_filled_from_the_tile(self, recorder_client, tile, harbour):
        page = recorder_client.get(reverse("tiles:recording:again", args=[tile.label]))

        assert chosen(page, "glaze-n1") == str(harbour.pk)
        assert [stands(page, f"coats-n1-{zone}") for zone in ZONES] == ["1", "", "", "", "3"]

    def test_what_was_weighed_stays_with_the_tile_it_was_weighed_on(self, recorder_client, tile):
        tile.layers.get().coverages.update(wet_mass_g="2.40", thickness_mm="0.30")
        page = recorder_client.get(reverse("tiles:recording:again", args=[tile.label]))

        assert (stands(page, "coats-n1-back"), stands(page, "mass-n1-back")) == ("3", "")

    def test_what_comes_of_it_are_new_tiles(self, recorder_client, tile, typed):
        recorder_client.post(reverse("tiles:recording:again", args=[tile.label]), {**typed, "copies": "2"})

        assert Tile.objects.count() == 3
        assert coats_of(tile) == {"band 1": 1, "back": 3}

    @pytest.mark.parametrize("label", ["1042-8", "1042-9", "harbour"])
    def test_no_such_tile_is_said(self, recorder_client, label):
        assert recorder_client.get(f"/tiles/{label}/again/").status_code == 404


class TestChangingATile:
    @pytest.fixture
    def address(self, tile):
        return reverse("tiles:recording:edit", args=[tile.label])

    @pytest.fixture
    def change(self, tile, typed, body):
        """The page as it opens, with three coats on the first band."""
        key = tile.layers.get().pk
        return {
            "form": tile.form_id,
            "body": body.pk,
            "stamp": tile.stamp,
            "layer": [str(key)],
            f"glaze-{key}": tile.layers.get().glaze_id,
            f"method-{key}": "brush",
            f"coats-{key}-band 1": "3",
            f"coats-{key}-back": "3",
            "do": "save",
        }

    def test_the_page_shows_what_stands(self, recorder_client, tile, address):
        page = recorder_client.get(address)
        key = tile.layers.get().pk

        assert (stands(page, f"coats-{key}-band 1"), stands(page, "stamp")) == ("1", str(tile.stamp))

    def test_a_change_is_kept(self, recorder_client, tile, address, change):
        answer = recorder_client.post(address, change)

        assert answer.url == tile.get_absolute_url()
        assert coats_of(tile) == {"band 1": 3, "back": 3}

    def test_what_is_wrong_is_said_and_nothing_changes(self, recorder_client, tile, address, change):
        key = tile.layers.get().pk
        answer = recorder_client.post(address, {**change, f"coats-{key}-band 1": "21"})

        assert answer.status_code == 422
        assert stands(answer, f"coats-{key}-band 1") == "21"
        assert coats_of(tile) == {"band 1": 1, "back": 3}

    def test_two_people_changing_one_tile_see_both_versions(
        self, recorder_client, keeper, tile, address, change
    ):
        tile.note = "theirs"
        tile.save()
        answer = recorder_client.post(address, change)
        page = answer.content.decode()

        assert answer.status_code == 409
        assert "Harbour ×3" in page
        assert "Harbour ×1" in page
        assert "theirs" in page
        assert coats_of(tile) == {"band 1": 1, "back": 3}

    def test_mine_can_be_kept_with_the_new_stamp(self, recorder_client, tile, address, change):
        tile.save()
        answer = recorder_client.post(address, {**change, "stamp": tile.stamp})

        assert answer.status_code == 302
        assert coats_of(tile)["band 1"] == 3

    def test_a_tile_with_results_keeps_its_form(self, recorder_client, tile, address, change):
        PlacementFactory(tile=tile)
        recorder_client.post(address, {**change, "form": TileFormFactory().pk})
        tile.refresh_from_db()

        assert tile.form.name == "Board tile"

    def test_a_layer_put_on_after_a_firing_says_so(self, recorder_client, tile, address, change, harbour):
        PlacementFactory(tile=tile)
        more = {"glaze-n1": harbour.pk, "method-n1": "brush", "coats-n1-back": "1", "after-n1": "1"}
        recorder_client.post(address, {**change, **more, "layer": ["n1", *change["layer"]]})

        assert [layer.after_firings for layer in tile.layers.order_by("position")] == [0, 1]

    def test_a_glaze_in_the_bin_can_still_be_read_on_its_tile(
        self, recorder_client, keeper, tile, address, harbour
    ):
        harbour.put_in_bin(by=keeper)
        key = tile.layers.get().pk

        assert chosen(recorder_client.get(address), f"glaze-{key}") == str(harbour.pk)
        assert "Harbour" not in recorder_client.get(NEW).content.decode()

    def test_a_stamp_that_is_no_number_opens_no_door(self, recorder_client, tile, address, change):
        assert recorder_client.post(address, {**change, "stamp": "x"}).status_code in (302, 409, 422)
        for stamp in ("x", "9" * 5000):
            assert recorder_client.post(address, {**change, "stamp": stamp}).status_code == 409


class TestRoles:
    def test_a_viewer_records_and_changes_nothing(self, viewer_client, tile, typed):
        before = timezone.now() + timedelta(days=1)
        answers = [
            viewer_client.get(NEW),
            viewer_client.post(NEW, typed),
            viewer_client.post(reverse("tiles:recording:preview"), typed),
            viewer_client.get(reverse("tiles:recording:again", args=[tile.label])),
            viewer_client.get(reverse("tiles:recording:edit", args=[tile.label])),
            viewer_client.post(reverse("tiles:recording:edit", args=[tile.label]), typed),
            viewer_client.post(f"{reverse('tiles:recording:bin_tiles')}?tiles={tile.label}"),
            viewer_client.post(f"{reverse('tiles:recording:unbin_tiles')}?tiles={tile.label}"),
        ]

        assert {answer.status_code for answer in answers} == {403}
        assert Tile.objects.filter(created_at__lt=before).count() == 1

    def test_a_keeper_may_do_what_a_recorder_may(self, keeper_client, typed):
        assert keeper_client.post(NEW, typed).status_code == 302

    def test_who_is_not_signed_in_is_led_to_sign_in(self, client, typed):
        answer = client.post(NEW, typed)

        assert answer.status_code == 302
        assert reverse("people:sign_in") in answer.url

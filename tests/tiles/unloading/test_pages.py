"""The unload page over HTTP: rows, judging with and without scripts, bad input, roles."""

import json
import re
from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from firings.moments import mark_of
from tests.counting import queries_of
from tests.factories import (
    FiringFactory,
    GlazeFactory,
    PhotoFactory,
    PhotoFilingFactory,
    ShelfFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
    record_judgement,
)
from tiles.models import Outcome
from tiles.unloading.judgement import Judgement
from tiles.vocabulary import Surface

pytestmark = pytest.mark.django_db

SATIN = Judgement("satin", "opaque", Decimal(1), flaws=(("pinholing", "slight"),), verdict="keep")
HTMX = {"HX-Request": "true"}
ZONE = {"surface": "satin", "opacity": "opaque", "run": "2", "seen": "0"}


@pytest.fixture
def harbour():
    return GlazeFactory(name="Harbour", surface="satin", opacity="opaque")


@pytest.fixture
def firing():
    shelf = ShelfFactory(position=3)
    return FiringFactory(
        number=231, kiln=shelf.kiln, fired=True, reached_number="5.80", reached_source="witness"
    )


@pytest.fixture
def tile(firing, harbour):
    tile = glaze_tile(TileFactory(number=1042), (harbour, {"band 1": 1, "texture": 2, "back": 3}))
    fired_outcomes(tile, firing, shelf=firing.kiln.shelves.get())
    return tile


@pytest.fixture
def next_tile(firing, harbour):
    tile = glaze_tile(TileFactory(number=1043), (harbour, {"band 1": 1}))
    fired_outcomes(tile, firing)
    return tile


def page_of(firing, **query):
    return reverse("tiles:unloading:firing", args=[firing.number], query=query or None)


def judge(firing, label="1042-9"):
    return reverse("tiles:unloading:judge_tile", args=[firing.number, label])


def typed(*positions, **changes):
    """What a browser sends for these zones; a change may name a zone: z1_surface."""
    sent = {f"z{at}-{name}": value for at in positions for name, value in ZONE.items()}
    return sent | {name.replace("_", "-", 1): value for name, value in changes.items()}


ALL = typed(1, 4, 5)
# A full kiln of 60 tiles and three zones, before compression.
MOST_BYTES = 60_000


class TestRows:
    def test_a_row_shows_number_clay_stacks_and_what_was_reached(self, viewer_client, firing, tile):
        page = viewer_client.get(page_of(firing)).content.decode()

        assert "1042-9" in page
        assert tile.body.name in page
        assert "band 1 to back" in page
        assert "Harbour ×1, ×2, ×3" in page
        assert "reached 5.8 · witness cones" in page
        assert "0 of 1" in page

    def test_an_empty_firing_says_what_to_do_first(self, recorder_client, firing):
        page = recorder_client.get(page_of(firing)).content.decode()

        assert "No tile is in this firing" in page
        assert reverse("tiles:loading:firing", args=[231]) in page

    def test_a_tile_without_glaze_says_that_there_is_nothing_to_judge(self, viewer_client, firing):
        fired_outcomes(TileFactory(), firing)

        assert "nothing to judge" in viewer_client.get(page_of(firing)).content.decode()

    def test_a_photo_of_this_firing_shows_in_its_row(self, viewer_client, firing, tile):
        filed = PhotoFilingFactory(tile=tile, placement=tile.placements.get())
        PhotoFilingFactory(tile=tile)
        page = viewer_client.get(page_of(firing)).content.decode()

        assert page.count("<img") == 1
        assert filed.photo.sha256 in page

    def test_the_camera_sends_to_this_tile_in_this_firing_without_scripts(
        self, recorder_client, firing, tile
    ):
        page = recorder_client.get(page_of(firing)).content.decode()

        assert reverse("tiles:photos:receive") in page
        assert 'enctype="multipart/form-data"' in page
        assert f'name="placement" value="{tile.placements.get().pk}"' in page

    def test_closed_rows_hold_no_judging_form(self, recorder_client, firing, tile, next_tile):
        closed = recorder_client.get(page_of(firing)).content.decode()
        opened = recorder_client.get(page_of(firing, at="1042-9")).content.decode()

        assert "data-judge=" not in closed
        assert opened.count("data-judge=") == 1

    def test_ten_more_tiles_ask_no_more_queries(self, recorder_client, firing, tile, harbour):
        PhotoFilingFactory(tile=tile, placement=tile.placements.get())
        few = queries_of(recorder_client, page_of(firing))
        for _ in range(10):
            more = glaze_tile(TileFactory(), (harbour, {"band 1": 1, "band 2": 2, "back": 3}))
            made = fired_outcomes(more, firing, shelf=firing.kiln.shelves.get())
            PhotoFilingFactory(tile=more, placement=made[0].placement, photo=PhotoFactory())

        assert queries_of(recorder_client, page_of(firing)) == few

    def test_opening_one_of_many_tiles_asks_the_same(self, recorder_client, firing, tile, harbour):
        one = reverse("tiles:unloading:tile", args=[231, "1042-9"])
        few = queries_of(recorder_client, one, headers=HTMX)
        for _ in range(10):
            fired_outcomes(glaze_tile(TileFactory(), (harbour, {"band 1": 1})), firing)

        assert queries_of(recorder_client, one, headers=HTMX) == few

    def test_a_row_of_sixty_tiles_stays_light(self, recorder_client, firing, harbour):
        """Closed rows of 60 tiles × 5 zones; a cheap phone lays out a few thousand elements at once."""
        for _ in range(60):
            coats = {"band 1": 1, "band 2": 2, "band 3": 3, "texture": 2, "back": 3}
            fired_outcomes(glaze_tile(TileFactory(), (harbour, coats)), firing)
        page = recorder_client.get(page_of(firing)).content

        assert page.count(b"data-row") == 60
        assert page.count(b"</") < 60 * 40
        assert b"style=" not in page


class TestTypedNumber:
    @pytest.mark.parametrize("number", ["10429", "1042-9", " 1042 9 "])
    def test_it_leads_to_the_tile(self, viewer_client, firing, tile, number):
        answer = viewer_client.get(page_of(firing, number=number))

        assert answer.url == page_of(firing, at="1042-9") + "#tile-1042"

    @pytest.mark.parametrize(
        ("number", "said"),
        [
            ("1042-8", "one digit is wrong or two are swapped"),
            ("1043-2", "Tile 1043-2 is not in F-0231"),
            ("kiln", "Write a tile number as digits and a check digit"),
        ],
    )
    def test_a_wrong_one_is_said_and_stays_in_the_box(self, viewer_client, firing, tile, number, said):
        answer = viewer_client.get(page_of(firing, number=number))

        assert answer.status_code == 422
        assert said in answer.content.decode()
        assert f'value="{number}"' in answer.content.decode()

    def test_one_of_another_firing_is_told_which(self, viewer_client, firing, tile):
        """On a bench with two kiln loads the number is right and the page is not."""
        other = FiringFactory(number=232, fired=True)
        fired_outcomes(glaze_tile(TileFactory(number=1044), (GlazeFactory(), {"band 1": 1})), other)

        said = viewer_client.get(page_of(firing, number="1044-1")).content.decode()

        assert "Tile 1044-1 is not in F-0231. It is in F-0232." in said

    def test_a_place_that_is_none_opens_nothing(self, viewer_client, firing, tile):
        for at in ("1042-8", "1043-2", "<b>", "9" * 40):
            assert viewer_client.get(page_of(firing, at=at)).status_code == 200


class TestJudging:
    def test_all_zones_are_kept_and_the_next_tile_opens(
        self, recorder_client, recorder, firing, tile, next_tile
    ):
        answer = recorder_client.post(
            judge(firing), typed(1, 4, 5, z4_breaking="marked", z1_flaw_crazing="severe")
        )
        seen = {row.zone.name: row for row in Outcome.objects.filter(tile=tile)}

        assert answer.url == page_of(firing, at="1043-2") + "#tile-1043"
        assert {row.judged_by for row in seen.values()} == {recorder}
        assert {(row.surface, row.opacity, row.run_mm) for row in seen.values()} == {("satin", "opaque", 2)}
        assert seen["texture"].breaking == "marked"
        assert [(flaw.kind, flaw.severity) for flaw in seen["band 1"].flaws.all()] == [("crazing", "severe")]

    def test_with_htmx_the_answer_closes_this_row_and_opens_the_next(
        self, recorder_client, firing, tile, next_tile
    ):
        answer = recorder_client.post(judge(firing), ALL, headers=HTMX)
        page = " ".join(answer.content.decode().split())

        assert answer["HX-Replace-Url"].endswith("?at=1043-2#tile-1043")
        assert 'id="summary-1042"' in page
        assert "1 of 2" in page
        assert 'id="open-1043" hx-swap-oob="innerHTML"' in page
        assert "Tile 1042-9 judged." in page
        assert page.count("data-judge=") == 1

    def test_after_the_last_tile_it_says_what_comes_next(self, recorder_client, firing, tile):
        page = recorder_client.post(judge(firing), ALL, headers=HTMX).content.decode()

        assert "All 1 judged" in page
        assert "Mark F-0231 unloaded" in page
        assert reverse("tiles:prints:choose") + "?firing=231" in page
        assert reverse("tiles:search:results") + "?firing=231" in page

    def test_a_typed_run_counts_before_a_tapped_one(self, recorder_client, firing, tile):
        recorder_client.post(judge(firing), typed(1, 4, 5, z1_run_own="2,5"))

        assert Outcome.objects.get(zone__name="band 1").run_mm == Decimal("2.5")

    def test_the_message_undoes_it_in_one_step(self, recorder_client, firing, tile):
        page = recorder_client.post(judge(firing), ALL, follow=True)
        undo = next(iter(page.context["messages"])).extra_tags
        answer = recorder_client.post(undo, follow=True)

        assert "Tile 1042-9 is as it was before" in answer.content.decode()
        assert not Outcome.objects.judged().exists()

    def test_an_undo_that_comes_too_late_says_so(self, recorder_client, recorder, firing, tile):
        page = recorder_client.post(judge(firing), ALL, follow=True)
        undo = next(iter(page.context["messages"])).extra_tags
        for outcome in Outcome.objects.all():
            record_judgement(outcome, SATIN, by=recorder)

        assert "changed again since" in recorder_client.post(undo, follow=True).content.decode()

    @pytest.mark.parametrize(
        ("change", "said"),
        [
            ({"z1_run_own": "-1"}, "at least 0"),
            ({"z1_run_own": "9999"}, "at most 500"),
            ({"z1_run_own": "far"}, "is not a figure"),
            ({"z1_run": "-1"}, "“-1” is none of the answers"),
            ({"z1_run": "9999"}, "“9999” is none of the answers"),
            ({"z1_surface": "shiny"}, "“shiny” is none of the answers"),
            ({"z1_opacity": "foggy"}, "“foggy” is none of the answers"),
            ({"z1_verdict": "love"}, "“love” is none of the answers"),
            ({"z1_pooling": "lots"}, "“lots” is none of the answers"),
            ({"z4_breaking": "lots"}, "“lots” is none of the answers"),
            ({"z1_flaw_crazing": "awful"}, "“awful” is none of the answers"),
            ({"z1_gloss_gu": "201"}, "at most 200"),
            ({"z1_remark": "x" * 2001}, "at most 2000 characters"),
            ({"z1_surface": "", "z1_opacity": ""}, "Tap at least the surface"),
            ({"z1_seen": "soon"}, ""),
        ],
    )
    @pytest.mark.parametrize("headers", [{}, HTMX])
    def test_what_cannot_be_is_refused_and_nothing_tapped_is_lost(
        self, recorder_client, firing, tile, change, said, headers
    ):
        answer = recorder_client.post(
            judge(firing), typed(1, 4, 5, z5_remark="like slate", **change), headers=headers
        )
        page = answer.content.decode()

        assert answer.status_code == 422
        assert said in page
        assert "like slate" in page
        assert not Outcome.objects.judged().exists()

    def test_a_flaw_that_is_none_of_the_list_is_not_kept(self, recorder_client, firing, tile):
        recorder_client.post(judge(firing), typed(1, 4, 5, z1_flaw_ugliness="severe"))

        assert not Outcome.objects.filter(flaws__isnull=False).exists()

    def test_breaking_is_judged_only_where_there_is_texture(self, recorder_client, firing, tile):
        recorder_client.post(judge(firing), typed(1, 4, 5, z1_breaking="marked", z4_breaking="slight"))

        assert Outcome.objects.get(zone__name="band 1").breaking == ""
        assert Outcome.objects.get(zone__name="texture").breaking == "slight"

    def test_before_the_fire_it_is_refused_and_the_page_offers_to_mark_it_fired(
        self, recorder_client, harbour
    ):
        loaded = FiringFactory(number=7, state="loaded")
        tile = glaze_tile(TileFactory(number=1042), (harbour, {"band 1": 1}))
        fired_outcomes(tile, loaded)
        page = recorder_client.get(page_of(loaded)).content.decode()
        answer = recorder_client.post(judge(loaded), typed(1))

        assert "It has been fired" in page
        assert answer.status_code == 422
        assert "F-0007 is still loaded" in answer.content.decode()

    def test_what_one_judged_on_another_page_is_told_as_ones_own(
        self, recorder_client, recorder, firing, tile
    ):
        record_judgement(Outcome.objects.get(zone__name="band 1"), Judgement("glossy"), by=recorder)
        page = " ".join(recorder_client.post(judge(firing), ALL).content.decode().split())

        assert "You, on another page, judged band 1 meanwhile: glossy" in page

    def test_print_labels_opens_labels_once_all_is_judged(self, recorder_client, firing, tile):
        recorder_client.post(judge(firing), ALL)
        page = recorder_client.get(page_of(firing)).content.decode()
        address = re.search(r'href="(/print/[^"]+)"', page[page.index('id="unload-finish"') :])[1]

        shown = recorder_client.get(unescape(address)).content.decode()
        assert re.search(r'value="labels"[^>]*checked', shown)

    def test_what_another_person_judged_meanwhile_is_shown_and_replaced_only_knowingly(
        self, recorder_client, keeper, firing, tile
    ):
        band = Outcome.objects.get(zone__name="band 1")
        judged = record_judgement(band, Judgement("glossy", "opaque", remark="like water"), by=keeper)
        first = recorder_client.post(judge(firing), ALL)
        page = first.content.decode()
        band.refresh_from_db()

        assert first.status_code == 422
        assert "Kit Kerr judged band 1 meanwhile: glossy, opaque; like water" in page
        assert band.surface == "glossy"

        mark = mark_of(judged.judged_at)
        assert f'value="{mark}"' in page
        recorder_client.post(judge(firing), ALL | {"z1-seen": mark})
        band.refresh_from_db()
        assert band.surface == "satin"


class TestFilling:
    def test_a_zone_is_filled_like_the_one_above_without_saving(self, recorder_client, firing, tile):
        sent = typed(
            1, 4, 5, z1_surface="matt", z1_run="8", z1_flaw_crawling="marked", z1_remark="mine", z4_surface=""
        )
        answer = recorder_client.post(judge(firing), sent | {"above": "4"})
        zones = {form.prefix: form for _, form in answer.context["judging"].zones}

        assert answer.status_code == 200
        assert (zones["z4"]["surface"].value(), zones["z4"]["run"].value()) == ("matt", "8")
        assert zones["z4"]["flaw_crawling"].value() == "marked"
        assert not zones["z4"]["remark"].value()
        assert zones["z5"]["surface"].value() == "satin"
        assert not Outcome.objects.judged().exists()

    @pytest.mark.parametrize("above", ["1", "9", "x"])
    def test_there_is_nothing_above_the_first_zone_or_one_that_is_none(
        self, recorder_client, firing, tile, above
    ):
        answer = recorder_client.post(judge(firing), ALL | {"above": above})

        assert answer.status_code == 200
        assert not Outcome.objects.judged().exists()

    def test_a_tile_is_filled_like_the_last_one(self, recorder_client, recorder, firing, tile, next_tile):
        last = Outcome.objects.get(tile=next_tile)
        record_judgement(
            last, Judgement("dry", "opaque", Decimal("0.5"), flaws=(("pitting", "slight"),)), by=recorder
        )
        page = recorder_client.get(page_of(firing, at="1042-9"))
        offered = json.loads(page.context["last_values"])
        filled = recorder_client.post(judge(firing), ALL | {"last": "1043-2"})
        band = next(form for _, form in filled.context["judging"].zones if form.prefix == "z1")

        assert "Same as 1043-2" in page.content.decode()
        assert (offered["z1-surface"], offered["z1-run_own"], offered["z1-flaw_pitting"]) == (
            "dry",
            "0.5",
            "slight",
        )
        assert (band["surface"].value(), band["run_own"].value(), band["flaw_pitting"].value()) == (
            "dry",
            "0.5",
            "slight",
        )

    def test_a_zone_starts_from_what_its_glaze_promises(self, recorder_client, firing, tile):
        page = recorder_client.get(page_of(firing, at="1042-9"))
        form = page.context["judging"].zones[0][1]

        assert (form["surface"].value(), form["opacity"].value(), form["run"].value()) == (
            "satin",
            "opaque",
            "0",
        )


class TestOneZone:
    def zone(self, firing, position, label="1042-9"):
        return reverse("tiles:unloading:judge_zone", args=[firing.number, label, position])

    def test_it_is_judged_by_itself_and_leads_back_to_the_tile(self, recorder_client, firing, tile):
        answer = recorder_client.post(self.zone(firing, 4), typed(4, z4_surface="matt"))
        outcome = Outcome.objects.get(zone__name="texture")

        assert answer.url == outcome.get_absolute_url()
        assert outcome.surface == "matt"
        assert Outcome.objects.judged().count() == 1

    def test_a_zone_of_another_firing_is_not_found(self, recorder_client, tile):
        other = FiringFactory(number=8, fired=True)

        assert recorder_client.post(self.zone(other, 1), typed(1)).status_code == 404
        assert recorder_client.post(judge(other), ALL).status_code == 404

    @pytest.mark.parametrize(
        ("position", "label"), [(9, "1042-9"), (1, "1042-8"), (1, "1043-2"), (2, "1042-9")]
    )
    def test_a_zone_that_is_none_or_bare_is_not_found(self, recorder_client, firing, tile, position, label):
        assert recorder_client.get(self.zone(firing, position, label)).status_code == 404

    def test_bad_input_is_refused_and_stays(self, recorder_client, firing, tile):
        answer = recorder_client.post(
            self.zone(firing, 1), typed(1, z1_run_own="9999", z1_remark="like slate")
        )

        assert answer.status_code == 422
        assert "like slate" in answer.content.decode()

    def test_what_another_person_judged_meanwhile_is_shown(self, recorder_client, keeper, firing, tile):
        record_judgement(Outcome.objects.get(zone__name="band 1"), Judgement("glossy"), by=keeper)
        answer = recorder_client.post(self.zone(firing, 1), typed(1, z1_remark="like slate"))

        assert answer.status_code == 422
        assert "Kit Kerr judged it meanwhile: glossy" in answer.content.decode()
        assert "like slate" in answer.content.decode()

    def test_it_goes_on_only_within_the_studio(self, recorder_client, firing, tile):
        page = recorder_client.get(self.zone(firing, 1), {"next": "javascript:alert(1)"}).content.decode()
        answer = recorder_client.post(self.zone(firing, 1), typed(1) | {"next": "//elsewhere.example/"})

        assert "javascript:" not in page
        assert answer.url.startswith("/tiles/")


class TestUnopened:
    """What the phone keeps to open any tile without a network."""

    def unopened(self, client, firing):
        return client.get(reverse("tiles:unloading:unopened", args=[firing.number]))

    def test_every_tile_says_what_its_judging_starts_from(self, recorder_client, firing, tile, next_tile):
        kept = self.unopened(recorder_client, firing).json()

        assert list(kept["tiles"]) == [tile.label, next_tile.label]
        assert kept["tiles"][tile.label][0][:3] == [1, "band 1", "Harbour ×1"]
        assert kept["tiles"][tile.label][0][4] == {"surface": "satin", "opacity": "opaque", "run": "0"}
        assert kept["last"] == ""

    def test_it_names_the_tile_this_person_judged_last(self, recorder_client, firing, tile, next_tile):
        recorder_client.post(judge(firing), typed(1, 4, 5, z1_surface="matt"))
        kept = self.unopened(recorder_client, firing).json()

        assert kept["last"] == tile.label
        assert kept["tiles"][tile.label][0][4]["surface"] == "matt"
        assert kept["tiles"][tile.label][0][4]["seen"]

    def test_a_full_kiln_weighs_little_and_takes_as_many_questions_as_one_tile(
        self, recorder_client, firing, tile, harbour
    ):
        address = reverse("tiles:unloading:unopened", args=[firing.number])
        few = queries_of(recorder_client, address)
        for number in range(2000, 2060):
            more = glaze_tile(TileFactory(number=number), (harbour, {"band 1": 1, "band 2": 2, "band 3": 3}))
            fired_outcomes(more, firing)
        answer = recorder_client.get(address)

        assert len(answer.json()["tiles"]) == 61
        assert len(answer.content) < MOST_BYTES
        assert queries_of(recorder_client, address) == few

    def test_what_comes_in_later_opens_no_other_tile(self, recorder_client, firing, tile, next_tile):
        answer = recorder_client.post(judge(firing), {**ALL, "later": "1"}, headers=HTMX)

        assert tile.outcomes.judged().count() == 3
        assert "data-open" not in answer.content.decode()
        assert "HX-Replace-Url" not in answer.headers

    def test_who_only_looks_gets_nothing_to_judge_with(self, viewer_client, firing, tile):
        assert self.unopened(viewer_client, firing).status_code == 403
        assert "unopened/" not in viewer_client.get(page_of(firing)).content.decode()


class TestRoles:
    def test_a_viewer_reads_and_judges_nothing(self, viewer_client, firing, tile):
        page = viewer_client.get(page_of(firing, at="1042-9")).content.decode()

        assert "Keep &amp; next" not in page
        assert "camera-take" not in page
        assert viewer_client.post(judge(firing), ALL).status_code == 403
        assert not Outcome.objects.judged().exists()

    def test_a_person_without_a_role_sees_nothing(self, client, stranger, firing, tile):
        client.force_login(stranger)

        assert client.get(page_of(firing)).status_code == 403

    def test_someone_signed_out_is_led_to_the_sign_in(self, client, firing, tile):
        assert reverse("people:sign_in") in client.get(page_of(firing)).url
        assert reverse("people:sign_in") in client.post(judge(firing), ALL).url


def test_every_surface_can_be_tapped(recorder_client, firing, tile):
    page = recorder_client.get(page_of(firing, at="1042-9")).content.decode()

    assert all(f'name="z1-surface" value="{surface}"' in page for surface in Surface.values())


def test_a_firing_marked_unloaded_says_what_is_left_to_judge_and_where(
    recorder_client, recorder, firing, tile, next_tile
):
    record_judgement(next_tile.outcomes.get(), SATIN, by=recorder)
    shown = recorder_client.get(firing.get_absolute_url()).content.decode()
    marked = reverse("firings:logbook:state", args=[firing.number])
    after = recorder_client.post(marked, {"state": "unloaded"}, follow=True).content.decode()
    warned = after.partition('class="firing-next"')[2].partition('class="two-part"')[0]

    assert "1 of 2 tiles is still to be judged" in " ".join(shown.split())
    assert "F-0231 is unloaded." in after
    assert ">Undo</button>" in after
    assert "1 of its 2 tiles is not judged yet." in warned
    assert reverse("tiles:unloading:firing", args=[firing.number]) in warned
    firing.refresh_from_db()
    assert firing.state == "unloaded"


def test_a_firing_judged_through_is_marked_unloaded_without_a_word_more(
    recorder_client, recorder, firing, next_tile
):
    record_judgement(next_tile.outcomes.get(), SATIN, by=recorder)
    marked = reverse("firings:logbook:state", args=[firing.number])
    after = recorder_client.post(marked, {"state": "unloaded"}, follow=True).content.decode()

    assert "judged yet" not in after
    assert "Judgements" in after

"""The print page: what it asks, what it promises, what it refuses."""

from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO

import pypdfium2
import pytest
from django.urls import reverse
from PIL import Image

from firings.preferences import Preferences
from studio.models import StudioPreferences
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    LabelStockFactory,
    PlaceFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.prints.reading import as_printed, codes_seen, rendered, size_mm, words
from tiles.models import LabelStock, Tile
from tiles.photos import services as photos
from tiles.prints import queries
from tiles.prints.cards import CAUTION
from tiles.prints.queries import card_facts, label_facts
from tiles.vocabulary import Opacity, Surface

PAGE, CARDS, LABELS = "/print/", "/print/cards.pdf", "/print/labels.pdf"
NEW_STOCK = "/print/stock/new"
A_SHEET = {
    "name": "Board labels",
    "sheet_width_mm": "210",
    "sheet_height_mm": "297",
    "columns": "2",
    "rows": "5",
    "label_width_mm": "90,5",
    "label_height_mm": "2 in",
    "pitch_x_mm": "",
    "pitch_y_mm": "",
    "margin_left_mm": "",
    "margin_top_mm": "",
    "corner_radius_mm": "",
}

ON_LAN = Preferences(studio_name="Oriel Yard", address="http://192.168.178.123:8000")

pytestmark = pytest.mark.django_db


@pytest.fixture
def studio_on_lan(db) -> StudioPreferences:
    """A studio whose phones reach it."""
    preferences, _ = StudioPreferences.objects.get_or_create(pk=1)
    preferences.address = "http://192.168.178.123:8000"
    preferences.studio_name = "Oriel Yard"
    preferences.save()
    return preferences


@pytest.fixture
def harbour_tile(db) -> Tile:
    """Tile 1042-9: Harbour in one to three coats on Dune, fired to cone 6 and judged."""
    tile = TileFactory(number=1042, body=ClayBodyFactory(name="Dune"))
    glaze_tile(tile, (GlazeFactory(name="Harbour"), {"band 1": 1, "band 2": 2, "band 3": 3}))
    for outcome in fired_outcomes(tile, FiringFactory(number=231, fired=True)):
        outcome.surface, outcome.opacity = Surface.SATIN.value, Opacity.OPAQUE.value
        outcome.run_mm, outcome.judged_at = Decimal(2), datetime(2026, 10, 15, tzinfo=UTC)
        outcome.save()
    return tile


def jpeg(colour: str = "navy") -> BytesIO:
    file = BytesIO()
    Image.new("RGB", (600, 800), colour).save(file, "JPEG")
    file.seek(0)
    return file


def test_a_tile_s_card_is_printed(viewer_client, harbour_tile, studio_on_lan):
    answer = viewer_client.get(CARDS, {"tiles": "1042-9"})
    text = words(answer.content)

    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="cards-tile-1042-9.pdf"'
    for part in ("1042-9", "Dune", "F-0231 · 14 Oct 2026", "Harbour ×3", "satin, opaque, run 2 mm", CAUTION):
        assert part in text
    assert "target cone 6, oxidation, no hold; kiln" in text
    assert codes_seen(rendered(answer.content, 300)) == ["HTTP://192.168.178.123:8000/T/1042-9"]


def test_the_code_on_a_label_opens_the_tile(viewer_client, harbour_tile, studio_on_lan):
    pdf = viewer_client.get(LABELS, {"tiles": "1042-9"}).content
    (address,) = codes_seen(as_printed(rendered(pdf, 203)))
    opened = viewer_client.get(address.removeprefix("HTTP://192.168.178.123:8000"), follow=True)

    assert opened.request["PATH_INFO"] == harbour_tile.get_absolute_url()
    assert opened.status_code == 200


def test_a_firing_s_labels_are_printed_on_a_used_sheet(viewer_client, harbour_tile, studio_on_lan):
    asked = {"firing": "231", "stock": "a4-3x8-63.5x33.9-mm", "start": "24"}
    pdf = viewer_client.get(LABELS, asked).content

    assert size_mm(pdf) == pytest.approx((210, 297), abs=0.01)
    assert "1042-9 Harbour ×1–3 band 1: 1 coat Harbour brushed, on Dune" in words(pdf)
    assert "all: target cone 6, oxidation, no hold" in words(pdf)
    assert pypdfium2.PdfDocument(pdf).get_metadata_dict()["Title"] == "Labels, Firing F-0231"


def test_the_tiles_of_a_search_are_printed(viewer_client, harbour_tile, studio_on_lan):
    other = TileFactory(number=1043, body=ClayBodyFactory(name="Tern"))
    glaze_tile(other, (GlazeFactory(name="Ash"), {"band 1": 1}))
    fired_outcomes(other, FiringFactory(number=232, fired=True))
    text = words(viewer_client.get(CARDS, {"results": f"body={harbour_tile.body_id}"}).content)

    assert "1042-9" in text
    assert other.label not in text


def test_numbers_are_taken_however_they_are_typed(viewer_client, harbour_tile):
    page = viewer_client.get(PAGE, {"tiles": " 10429;\n1042 "})

    assert page.status_code == 422
    assert "1042 is no tile number" in page.content.decode()
    assert viewer_client.get(PAGE, {"tiles": "10429, #1042-9"}).context["tiles"] == [harbour_tile]


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"tiles": "1042-8"}, "1042-8 is no tile number: one digit is wrong or two are swapped."),
        ({"tiles": "1043-2"}, "No tile here has the number 1043-2."),
        ({"firing": "999"}, "There is no firing 999."),
        ({"firing": "<b>"}, "There is no firing &lt;b&gt;."),
        ({"tiles": "1042-9", "kind": "labels", "start": "90"}, "This sheet has 24 labels."),
        ({"tiles": "1042-9", "stock": "papyrus"}, "is not on the list. Choose one"),
        ({"tiles": "1042-9", "paper": "A3"}, "is not on the list. Choose one"),
    ],
)
def test_what_cannot_be_printed_is_told_and_nothing_typed_is_lost(viewer_client, harbour_tile, asked, told):
    page = viewer_client.get(PAGE, asked)

    assert page.status_code == 422
    assert told in page.content.decode()
    for name, said in asked.items():
        assert page.context["form"][name].value() == said


@pytest.mark.parametrize("address", [CARDS, LABELS])
def test_a_pdf_of_nothing_asks_which_tiles(viewer_client, address):
    answer = viewer_client.get(address)

    assert answer.status_code == 422
    assert "Say which tiles to print." in answer.content.decode()


def test_an_empty_page_says_what_to_do(viewer_client):
    page = viewer_client.get(PAGE)

    assert page.status_code == 200
    assert "Nothing to print yet" in page.content.decode()


def test_the_page_shows_what_finds_no_room(viewer_client, studio_on_lan):
    tile = TileFactory(number=1042, body=ClayBodyFactory(name="Very long name of a wood-fired body of ours"))
    glaze_tile(tile, *((GlazeFactory(), {"band 1": 2}) for _ in range(7)))
    page = viewer_client.get(
        PAGE, {"tiles": "1042-9", "kind": "labels", "stock": "roll-25x25-mm"}
    ).content.decode()

    assert "Look before you print" in page
    assert "Left out" in page
    assert "1 label from the roll" in page


def test_codes_that_open_nowhere_else_are_warned_of(viewer_client, harbour_tile):
    page = viewer_client.get(PAGE, {"tiles": "1042-9"}).content.decode()

    assert "opens on this computer alone" in page


def test_no_warning_where_phones_reach_the_studio(viewer_client, harbour_tile, studio_on_lan):
    assert "on this computer alone" not in viewer_client.get(PAGE, {"tiles": "1042-9"}).content.decode()


def test_labels_are_said_not_to_go_in_kilns(viewer_client):
    assert "do not go in kilns" in viewer_client.get(PAGE, {"kind": "labels"}).content.decode()


def test_a_start_chosen_on_another_sheet_does_not_count(viewer_client, harbour_tile):
    asked = {
        "tiles": "1042-9",
        "kind": "labels",
        "stock": "a4-2x4-99.1x67.7-mm",
        "start": "20",
        "start_on": "a4-3x8-63.5x33.9-mm",
    }
    page = viewer_client.get(PAGE, asked)

    assert page.status_code == 200
    assert page.context["outlook"].sheet.cells[0].is_first


def test_a_change_on_the_page_is_answered_with_its_part(viewer_client, harbour_tile):
    answer = viewer_client.get(PAGE, {"tiles": "1042-9"}, headers={"HX-Request": "true"})

    assert answer.content.decode().strip().startswith('<div class="stacked"')
    assert answer["HX-Replace-Url"] == "/print/?tiles=1042-9"
    assert "HX-Request" in answer["Vary"]


def test_what_was_printed_on_is_taken_again(viewer_client, harbour_tile):
    viewer_client.get(LABELS, {"tiles": "1042-9", "stock": "roll-62x29-mm", "codes": "no"})
    form = viewer_client.get(PAGE, {"tiles": "1042-9"}).context["form"]

    assert form["stock"].value() == "roll-62x29-mm"
    assert form["kind"].value() == "labels"
    assert form["codes"].value() == "no"
    assert form["start"].value() == 1


def test_the_studio_s_paper_is_taken_first(viewer_client, harbour_tile, studio_on_lan):
    studio_on_lan.paper = "Letter"
    studio_on_lan.save()

    assert size_mm(viewer_client.get(CARDS, {"tiles": "1042-9"}).content) == pytest.approx(
        (215.9, 279.4), abs=0.01
    )
    assert size_mm(viewer_client.get(LABELS, {"tiles": "1042-9"}).content) == pytest.approx(
        (215.9, 279.4), abs=0.01
    )


def test_too_many_cards_at_once_are_refused(viewer_client, harbour_tile, monkeypatch):
    monkeypatch.setattr("tiles.prints.forms.MOST", {"cards": 0, "labels": 0})
    page = viewer_client.get(PAGE, {"tiles": "1042-9"})

    assert page.status_code == 422
    assert "These are 1 tiles. Print at most 0 cards at a time" in page.content.decode()


def test_a_binned_tile_is_not_printed(viewer_client, recorder, harbour_tile):
    harbour_tile.put_in_bin(by=recorder)

    assert (
        "No tile here has the number 1042-9." in viewer_client.get(PAGE, {"tiles": "1042-9"}).content.decode()
    )


@pytest.mark.parametrize("address", [PAGE, CARDS, LABELS, NEW_STOCK])
def test_the_signed_out_are_sent_to_the_door(client, address):
    answer = client.get(address)

    assert answer.status_code == 302
    assert reverse("people:sign_in") in answer["Location"]


@pytest.mark.parametrize("address", [PAGE, CARDS, LABELS, NEW_STOCK])
def test_one_without_a_role_prints_nothing(client, stranger, address):
    client.force_login(stranger)

    assert client.get(address).status_code == 403


class TestPhotographs:
    def test_the_card_shows_the_photo_after_the_last_firing(self, harbour_tile, recorder):
        placement = harbour_tile.placements.get()
        photos.store_photo(jpeg("white"), by=recorder, tile=harbour_tile)
        after = photos.store_photo(jpeg("navy"), by=recorder, placement=placement)

        assert queries.best_photo([harbour_tile]) == after

    def test_the_whole_tile_goes_before_a_close_look(self, harbour_tile, recorder):
        placement = harbour_tile.placements.get()
        whole = photos.store_photo(jpeg("white"), by=recorder, placement=placement)
        photos.store_photo(jpeg("navy"), by=recorder, placement=placement, zone=harbour_tile.zones.first())

        assert queries.best_photo([harbour_tile]) == whole

    def test_a_photo_is_printed(self, viewer_client, harbour_tile, recorder):
        photos.store_photo(jpeg("red"), by=recorder, tile=harbour_tile)
        pdf = viewer_client.get(CARDS, {"tiles": "1042-9"}).content
        page = pypdfium2.PdfDocument(pdf)[0].render(scale=1).to_pil()

        assert any(red > 200 and green < 60 for red, green, _ in page.get_flattened_data())

    def test_a_lost_photo_file_leaves_the_card_and_says_so(self, harbour_tile, recorder, studio_on_lan):
        photo = photos.store_photo(jpeg(), by=recorder, tile=harbour_tile)
        photos.photo_store().remove_original(photo.sha256, "jpg")
        (facts,) = card_facts([harbour_tile], ON_LAN, photo_size="medium")

        assert facts.photo is not None
        assert not facts.photo.exists()


class TestQueries:
    def tiles(self, count: int) -> list[Tile]:
        firing, batch = FiringFactory(fired=True), GlazeBatchFactory()
        made = [
            glaze_tile(TileFactory(), (batch.glaze, {"band 1": 1, "back": 2}), batch=batch)
            for _ in range(count)
        ]
        for tile in made[::2]:
            fired_outcomes(tile, firing)
        return list(Tile.objects.for_lists().filter(pk__in=[tile.pk for tile in made]))

    @pytest.mark.parametrize("facts_of", [card_facts, label_facts])
    def test_more_tiles_ask_no_more_questions(self, facts_of, django_assert_num_queries):
        few, many = self.tiles(2), self.tiles(12)
        expected = 9 if facts_of is card_facts else 7

        for tiles in (few, many):
            with django_assert_num_queries(expected):
                assert len(facts_of(tiles, ON_LAN)) == len(tiles)

    def test_a_card_shows_where_its_tile_is_and_how_its_colour_was_measured(self):
        (tile,) = self.tiles(1)
        Tile.objects.filter(pk=tile.pk).update(place=PlaceFactory(name="Box 3"))
        # In sRGB, and a blue that it does not hold.
        for lab_b, outcome in zip((26, -90), tile.outcomes.order_by("zone__position"), strict=False):
            outcome.lab_l, outcome.lab_a, outcome.lab_b, outcome.lab_basis = 39, 24, lab_b, "instrument"
            outcome.save()
        (tile,) = Tile.objects.for_lists().filter(pk=tile.pk)

        (card,) = card_facts([tile], ON_LAN)
        zones = card.firings[0].zones

        assert card.where == "Box 3"
        assert zones[0].colour_words == "L* 39.0, a* 24.0, b* 26.0, by instrument"
        assert zones[1].colour_words.endswith("beyond sRGB, nearest shown")
        assert all(zone.colour.startswith("#") for zone in zones)
        assert card_facts([tile], ON_LAN, remarks=False)[0].where == ""

    def test_a_tile_that_waits_for_the_kiln_shows_what_lies_on_it(self):
        tile = glaze_tile(
            TileFactory(body=ClayBodyFactory(name="Dune"), planned_order=30),
            (GlazeFactory(name="Flux L"), {"band 1": 1}),
            (GlazeFactory(name="Harbour"), {"band 1": 2, "back": 3}),
        )
        (card,) = card_facts([tile], ON_LAN)
        (label,) = label_facts([tile], ON_LAN)

        assert card.firings[0].heading == "Not fired yet"
        assert [(zone.zone, zone.stack) for zone in card.firings[0].zones] == [
            ("band 1", "Flux L ×1 + Harbour ×2"),
            ("back", "Harbour ×3"),
        ]
        assert label.stack == "Flux L ×1 + Harbour ×2; Harbour ×3"
        assert label.conditions == "Dune · planned for cone 6"

    def test_a_refired_tile_has_both_firings_and_the_layers_of_each(self):
        tile = TileFactory(body=ClayBodyFactory(name="Dune"))
        glaze_tile(tile, (GlazeFactory(name="Harbour"), {"band 1": 2}))
        fired_outcomes(tile, FiringFactory(number=231, fired=True))
        glaze_tile(tile, (GlazeFactory(name="Flux L"), {"band 1": 1}), after_firings=1)
        again = FiringFactory(
            number=240,
            fired=True,
            target_order=20,
            reached_order=20,
            reached_number=Decimal("-3.2"),
            reached_source="witness",
        )
        fired_outcomes(tile, again)
        (card,) = card_facts([tile], ON_LAN)
        (label,) = label_facts([tile], ON_LAN)

        assert [(firing.heading[:6], firing.zones[0].stack) for firing in card.firings] == [
            ("F-0231", "Harbour ×2"),
            ("F-0240", "Harbour ×2 + Flux L ×1"),
        ]
        assert label.stack == "Harbour ×2 + Flux L ×1"
        assert label.conditions == "Dune · cone 6, oxidation, then cone 04, reached 0.8 past 05, oxidation"


class TestLabelStock:
    def test_stock_is_kept_by_its_numbers_and_taken(self, recorder_client):
        answer = recorder_client.post(f"{NEW_STOCK}?next=/print/?firing=231%26kind=labels", A_SHEET)
        stock = LabelStock.objects.get()

        assert answer.status_code == 302
        assert answer["Location"] == f"/print/?firing=231&kind=labels&stock=own-{stock.pk}"
        # Steps and margins left empty: labels touch and lie in the middle.
        assert (stock.pitch_x_mm, stock.pitch_y_mm) == (Decimal("90.50"), Decimal("50.80"))
        assert (stock.margin_left_mm, stock.margin_top_mm) == (Decimal("14.50"), Decimal("21.50"))

    def test_own_stock_is_printed_on(self, viewer_client, harbour_tile, studio_on_lan):
        stock = LabelStockFactory(name="Ours", sheet_width_mm=100, sheet_height_mm=150, columns=1, rows=4)
        answer = viewer_client.get(LABELS, {"tiles": "1042-9", "stock": f"own-{stock.pk}"})

        assert size_mm(answer.content) == pytest.approx((100, 150), abs=0.01)

    def test_the_dialog_tells_the_page_of_the_new_stock(self, recorder_client):
        answer = recorder_client.post(NEW_STOCK, A_SHEET, headers={"HX-Request": "true"})

        assert answer.status_code == 204
        assert answer.headers["HX-Trigger"] == (
            f'{{"added": {{"kind": "labelstock", "value": "own-{LabelStock.objects.get().pk}", '
            '"label": "Board labels"}}'
        )

    @pytest.mark.parametrize(
        ("wrong", "told"),
        [
            ({"columns": "3"}, "the sheet is 210 mm wide"),
            ({"label_width_mm": "wide"}, "is not a figure"),
            ({"pitch_y_mm": "20"}, "overlap"),
            ({"rows": "0"}, "at least 1"),
            ({"name": ""}, "Fill this in."),
        ],
    )
    def test_numbers_that_cannot_be_are_refused(self, recorder_client, wrong, told):
        answer = recorder_client.post(NEW_STOCK, A_SHEET | wrong)

        assert answer.status_code == 422
        assert told in answer.content.decode()
        assert 'value="Board labels"' in answer.content.decode() or "name" in wrong
        assert not LabelStock.objects.exists()

    def test_a_name_is_given_once(self, recorder_client):
        LabelStockFactory(name="board labels")

        assert recorder_client.post(NEW_STOCK, A_SHEET).status_code == 422

    def test_numbers_are_changed(self, recorder_client):
        stock = LabelStockFactory(name="Ours")
        typed = A_SHEET | {"stamp": stock.stamp}
        answer = recorder_client.post(f"/print/stock/{stock.pk}", typed)
        stock.refresh_from_db()

        assert answer.status_code == 302
        assert stock.columns == 2
        assert stock.history.count() == 2

    def test_two_people_changing_the_same_stock_see_both_versions(self, recorder_client):
        stock = LabelStockFactory(name="Ours")
        seen = stock.stamp
        stock.rows = 7
        stock.save()

        assert recorder_client.post(f"/print/stock/{stock.pk}", A_SHEET | {"stamp": seen}).status_code == 409

    def test_a_viewer_keeps_no_stock(self, viewer_client):
        stock = LabelStockFactory()

        assert viewer_client.get(NEW_STOCK).status_code == 403
        assert viewer_client.get(f"/print/stock/{stock.pk}").status_code == 403

    def test_the_way_back_leads_nowhere_else(self, recorder_client):
        answer = recorder_client.post(f"{NEW_STOCK}?next=https://elsewhere.example/", A_SHEET)

        assert answer["Location"].startswith("/print/?stock=own-")

"""The print tray: collected from anywhere, kept in order, printed as one PDF."""

import pypdfium2
import pytest
from django.contrib.auth.models import AnonymousUser
from django.template import Context, Template
from django.test import RequestFactory

from firings.preferences import Preferences
from tests.counting import queries_of
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.prints.reading import size_mm, words
from tiles.models import PrintItem, PrintRun
from tiles.prints.kinds import KINDS, Asked, Kind, kind_named, register
from tiles.prints.tray import queries, services

PAGE, ADD, PRINT = "/print/tray", "/print/tray/add", "/print/tray/print"

pytestmark = pytest.mark.django_db


def a_tile(number: int):
    tile = glaze_tile(
        TileFactory(number=number, body=ClayBodyFactory()), (GlazeFactory(), {"band 1": 1, "band 2": 2})
    )
    fired_outcomes(tile, FiringFactory(fired=True))
    return tile


def test_cards_of_several_pages_of_the_studio_lie_together(viewer, viewer_client):
    first, second = a_tile(1042), a_tile(1043)
    viewer_client.post(ADD, {"kind": "cards", "key": [first.label]})
    viewer_client.post(ADD, {"kind": "cards", "key": [second.label, first.label]})

    (item,) = PrintItem.objects.filter(person=viewer)
    assert item.keys == [first.label, second.label]
    assert "2 tile cards" in viewer_client.get(PAGE).content.decode()


def test_what_was_put_in_leads_to_the_tray(viewer_client):
    put = {"kind": "cards", "key": [a_tile(1042).label]}
    said = viewer_client.post(ADD, put, headers={"hx-request": "true"}).content.decode()

    assert f'In the <a href="{PAGE}">print tray</a>: tile card, 1042-9.' in said


def test_a_button_for_the_tray_begins_like_every_other(viewer):
    request = RequestFactory().get("/")
    request.user = viewer
    drawn = Template('{% load print_tray %}{% to_print_tray "answer-sheet" "1" %}').render(
        Context({"request": request})
    )

    assert "Answer sheet to the print tray" in drawn


def test_the_tray_comes_out_as_one_pdf_in_its_order(viewer, viewer_client):
    tile, firing = a_tile(1042), FiringFactory(number=231, fired=True)
    services.add_to_tray(viewer, "firing-report", [firing.number])
    services.add_to_tray(viewer, "cards", [tile.label], {"size": "small"})
    services.add_to_tray(viewer, "labels", [tile.label], {"stock": "roll-40x30-mm"})
    pdf = viewer_client.post(PRINT).content

    assert len(pypdfium2.PdfDocument(pdf)) == 3
    assert "Firing F-0231" in words(pdf, 0)
    assert tile.label in words(pdf, 1)
    assert size_mm(pdf, 2) == pytest.approx((40, 30), abs=0.01)


def test_papers_of_several_sizes_are_said_and_printed_apart(viewer, viewer_client):
    tile = a_tile(1042)
    services.add_to_tray(viewer, "cards", [tile.label])
    services.add_to_tray(viewer, "labels", [tile.label], {"stock": "roll-40x30-mm"})
    page = viewer_client.get(PAGE).content.decode()
    pdf = viewer_client.post(PRINT, {"paper": "Roll, 40 × 30 mm"}).content

    assert "These need 2 kinds of paper" in page
    assert "1 × A4" in page
    assert len(pypdfium2.PdfDocument(pdf)) == 1
    assert size_mm(pdf) == pytest.approx((40, 30), abs=0.01)


def test_a_line_taken_out_comes_back_where_it_was(viewer, viewer_client):
    lines = [services.add_to_tray(viewer, "firing-report", [FiringFactory().number]) for _ in range(3)]
    viewer_client.post(f"/print/tray/{lines[1].pk}/out")
    left = [item.pk for item in queries.in_tray(viewer)]
    viewer_client.post(f"/print/tray/{lines[1].pk}/back")

    assert left == [lines[0].pk, lines[2].pk]
    assert [item.pk for item in queries.in_tray(viewer)] == [line.pk for line in lines]


def test_undoing_what_was_put_in_leaves_what_was_there_before(viewer, viewer_client):
    tiles = [a_tile(number) for number in (1042, 1043)]
    viewer_client.post(ADD, {"kind": "labels", "key": tiles[0].label})
    told = viewer_client.post(ADD, {"kind": "labels", "key": tiles[1].label}, follow=True)
    (message,) = [one for one in told.context["messages"] if tiles[1].label in str(one)]
    viewer_client.post(message.extra_tags)

    assert [item.keys for item in queries.in_tray(viewer)] == [[tiles[0].label]]


def test_lines_move_to_the_front_and_to_the_end(viewer, viewer_client):
    lines = [services.add_to_tray(viewer, "firing-report", [FiringFactory().number]) for _ in range(3)]
    viewer_client.post(f"/print/tray/{lines[2].pk}/move", {"to": "front"})
    viewer_client.post(f"/print/tray/{lines[0].pk}/move", {"to": "end"})

    assert [item.pk for item in queries.in_tray(viewer)] == [lines[2].pk, lines[0].pk, lines[1].pk]


def test_an_emptied_tray_is_filled_again(viewer, viewer_client):
    for _ in range(2):
        services.add_to_tray(viewer, "firing-report", [FiringFactory().number])
    told = viewer_client.post("/print/tray/empty", follow=True)
    (message,) = told.context["messages"]
    emptied = queries.in_tray(viewer)
    viewer_client.post(message.extra_tags)

    assert emptied == []
    assert len(queries.in_tray(viewer)) == 2


def test_nobody_sees_or_moves_another_s_tray(viewer, recorder, viewer_client):
    theirs = services.add_to_tray(recorder, "firing-report", [FiringFactory().number])

    assert "The print tray is empty" in viewer_client.get(PAGE).content.decode()
    for verb in ("out", "back", "move", "how"):
        assert viewer_client.post(f"/print/tray/{theirs.pk}/{verb}").status_code == 404


@pytest.mark.parametrize(
    ("posted", "told"),
    [
        ({"kind": "papyrus", "key": "1"}, "“papyrus” is nothing that can be printed here."),
        ({"kind": "cards", "key": "1042-9"}, "There are no tiles of these numbers."),
        ({"kind": "firing-report", "key": "9999999"}, "There is no firing 9999999."),
        ({"kind": "firing-report", "key": "9" * 40}, "There is no firing"),
        ({"kind": "cards"}, "There is nothing to put into the print tray."),
    ],
)
def test_what_cannot_be_printed_is_refused_in_words(viewer_client, posted, told):
    answer = viewer_client.post(ADD, posted)

    assert answer.status_code == 422
    assert told in answer.content.decode()


def test_a_tile_that_is_gone_is_said_and_the_rest_is_printed(viewer, viewer_client):
    tile, firing = a_tile(1042), FiringFactory(number=231, fired=True)
    services.add_to_tray(viewer, "cards", [tile.label])
    services.add_to_tray(viewer, "firing-report", [firing.number])
    tile.put_in_bin(by=viewer)

    assert "The tiles it was of are gone." in viewer_client.get(PAGE).content.decode()
    assert len(pypdfium2.PdfDocument(viewer_client.post(PRINT).content)) == 1


def test_an_empty_tray_prints_nothing(viewer_client):
    answer = viewer_client.post(PRINT)

    assert answer.status_code == 422
    assert "nothing in the tray that can be printed" in answer.content.decode()


def test_how_a_line_is_printed_is_chosen_on_it(viewer, viewer_client):
    item = services.add_to_tray(viewer, "cards", [a_tile(1042).label])
    viewer_client.post(f"/print/tray/{item.pk}/how", {"option-size": "large", "option-paper": "Letter"})

    assert size_mm(viewer_client.post(PRINT).content) == pytest.approx((215.9, 279.4), abs=0.01)


def test_labels_that_were_printed_are_crossed_off_the_sheet(viewer, viewer_client):
    labels = [a_tile(number).label for number in (1042, 1043, 1044)]
    services.keep_used(viewer, "a4-3x8-63.5x33.9-mm", [1, 2, 5])
    services.add_to_tray(viewer, "labels", labels, {"stock": "a4-3x8-63.5x33.9-mm"})
    viewer_client.post("/print/tray/empty", {"printed": "yes"})

    used = viewer_client.get("/print/sheet/a4-3x8-63.5x33.9-mm").context["sheet"].cells
    assert [cell.number for cell in used if cell.state == "used"] == [1, 2, 3, 4, 5, 6]


def test_a_sheet_used_up_makes_room_for_a_new_one(viewer):
    services.keep_used(viewer, "a4-2x4-99.1x67.7-mm", range(1, 8))
    services.use_up(viewer, "a4-2x4-99.1x67.7-mm", 4)

    assert queries_of_used(viewer) == [1, 2, 3]


def queries_of_used(person) -> list[int]:
    return person.used_sheets.get(stock_key="a4-2x4-99.1x67.7-mm").used


def test_the_tray_asks_the_database_as_often_for_many_tiles_as_for_few(viewer, viewer_client):
    few, many = [a_tile(1042)], [a_tile(number) for number in range(1043, 1050)]
    item = services.add_to_tray(viewer, "cards", [few[0].label])
    asked_of_one = queries_of(viewer_client, PAGE)
    services.put_back(item, [tile.label for tile in many])

    assert queries_of(viewer_client, PAGE) == asked_of_one


def test_two_kinds_never_share_a_name():
    again = Kind("cards", "card", "cards", "tiles.view_tile", says=lambda asked: "", pages=lambda asked: [])

    with pytest.raises(ValueError, match="two kinds of print named cards"):
        register(again)


@pytest.mark.parametrize("name", sorted(KINDS))
def test_a_kind_says_in_words_when_what_it_is_of_is_gone(name, viewer):
    kind = kind_named(name)
    asked = Asked(("999999",), {}, Preferences(), for_paper=False, person=viewer)
    told = "."
    try:
        kind.pages(asked)
    except LookupError as trouble:
        told = str(trouble.args[0])

    assert told.endswith(".")


def test_the_button_is_not_shown_to_who_may_not_see_what_is_printed():
    request = RequestFactory().get("/")
    request.user = AnonymousUser()
    drawn = Template('{% load print_tray %}{% to_print_tray "cards" "1042-9" %}').render(
        Context({"request": request})
    )

    assert drawn.strip() == ""


def test_a_long_print_is_made_in_the_background(viewer, viewer_client, settings, tmp_path, monkeypatch):
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr("tiles.prints.tray.runs.services.AT_ONCE", 1)
    services.add_to_tray(
        viewer, "labels", [a_tile(number).label for number in (1042, 1043, 1044)], {"stock": "roll-40x30-mm"}
    )
    page = viewer_client.post(PRINT, follow=True)
    run = PrintRun.objects.get()

    assert page.redirect_chain[-1][0] == f"/print/runs/{run.pk}"
    assert (run.pages, run.pages_done) == (3, 3)
    assert "3 pages are ready." in page.content.decode()
    pdf = b"".join(viewer_client.get(f"/print/runs/{run.pk}.pdf").streaming_content)
    assert len(pypdfium2.PdfDocument(pdf)) == 3


def test_what_was_chosen_on_the_print_page_goes_into_the_tray(viewer, viewer_client):
    tile = a_tile(1042)
    chosen = f"/print/?kind=cards&tiles={tile.label}&size=small&paper=Letter"
    page = viewer_client.post("/print/tray/chosen", {"chosen": chosen}, follow=True)

    (item,) = queries.in_tray(viewer)
    assert (item.keys, item.options) == ([tile.label], {"size": "small", "paper": "Letter"})
    assert page.redirect_chain[-1][0] == PAGE


def test_nothing_chosen_goes_nowhere(viewer, viewer_client):
    assert viewer_client.post("/print/tray/chosen", {"chosen": "/print/?kind=cards"}).status_code == 422
    assert queries.in_tray(viewer) == []

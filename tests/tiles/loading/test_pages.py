"""The loading page: choose, place, see what to mind, take off, undo."""

import pytest
from django.urls import reverse

from firings.vocabulary import Purpose
from tests.counting import queries_of
from tests.factories import (
    CONE_5,
    CONE_6,
    CONE_10,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    SeriesFactory,
    ShelfFactory,
    TileFactory,
    glaze_tile,
)
from tiles.loading import services
from tiles.models import Outcome, Placement

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    return ShelfFactory(position=2)


@pytest.fixture
def firing(shelf):
    ShelfFactory(kiln=shelf.kiln, position=1)
    return FiringFactory(number=231, kiln=shelf.kiln)


def page_of(firing):
    return reverse("tiles:loading:firing", args=[firing.number])


def glazed(number=None, **tile):
    known = {"number": number} if number else {}
    return glaze_tile(TileFactory(**known, **tile), (GlazeFactory(), {"band 1": 1}))


def test_tiles_are_put_in_by_ticks_numbers_and_series_at_once(recorder_client, firing, shelf):
    series = SeriesFactory()
    ticked, typed, listed = glazed(), glazed(1042), glazed(series=series)
    sent = {
        "tiles": [ticked.number],
        "numbers": "1042-9",
        "series": series.pk,
        "shelf": shelf.pk,
        "place": "front",
        "on_cookie": "on",
    }
    answer = recorder_client.post(page_of(firing), sent, follow=True)
    placed = Placement.objects.all()

    assert {row.tile for row in placed} == {ticked, typed, listed}
    assert {(row.shelf, row.place, row.on_cookie) for row in placed} == {(shelf, "front", True)}
    assert "3 tiles put into F-0231" in answer.content.decode()


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({}, "Tick a tile, type its number, or choose a series"),
        ({"numbers": "1024-9"}, "one digit is wrong or two are swapped"),
        ({"numbers": "1043-2"}, "1043-2 is not in the logbook"),
        ({"numbers": "1042-9", "shelf": "999"}, "not on the list. Choose"),
        ({"tiles": ["999"]}, "not on the list. Choose"),
        ({"tiles": ["none"]}, "not on the list"),
        ({"series": "999"}, "not on the list. Choose"),
        ({"numbers": "1042-9", "place": "x" * 41}, "at most 40 characters"),
    ],
)
def test_what_cannot_be_placed_is_refused_and_stays_in_the_form(recorder_client, firing, sent, said):
    glazed(1042)
    answer = recorder_client.post(page_of(firing), sent)
    page = answer.content.decode()

    assert answer.status_code == 422
    assert said in page
    assert sent.get("numbers", "") in page
    assert not Placement.objects.exists()


def test_a_shelf_of_another_kiln_is_refused(recorder_client, firing):
    glazed(1042)
    answer = recorder_client.post(page_of(firing), {"numbers": "1042-9", "shelf": ShelfFactory().pk})

    assert answer.status_code == 422


def test_what_to_mind_is_shown_with_what_to_do_and_stops_nobody(recorder_client, firing, shelf):
    body = ClayBodyFactory(name="Dune", default_hold_min=20)
    tile = TileFactory(number=1042, body=body)
    flux = GlazeFactory(name="Flux L", kind="flux")
    glaze_tile(
        tile, (flux, {"band 1": 1}), (GlazeFactory(name="Harbour", cone_high_order=CONE_5), {"band 1": 2})
    )
    page = recorder_client.post(
        page_of(firing), {"numbers": "1042-9", "shelf": shelf.pk}, follow=True
    ).content.decode()

    assert "Dune is always held 20 min" in page
    assert "Harbour is meant for up to cone 5" in page
    assert "A flux under a glaze is known to run. Put 1042-9 on a cookie" in page
    assert "No bisque firing is written down" in page
    assert "Dune is always held 20 min" in recorder_client.get(firing.get_absolute_url()).content.decode()


@pytest.mark.parametrize("page", ["tiles:loading:firing", "firings:logbook:firing"])
def test_many_things_to_mind_fold_below_the_first(recorder_client, recorder, firing, shelf, page):
    """Seven long warnings hid the load on a phone."""
    tiles = [glazed(body=ClayBodyFactory(default_hold_min=minutes)).pk for minutes in (10, 20, 30)]
    services.place_tiles(firing, tiles, shelf, "", on_cookie=False, by=recorder)
    shown = recorder_client.get(reverse(page, args=[firing.number])).content.decode()
    before, _, after = shown.partition('<details class="warnings-more">')
    folded = after.partition("</details>")[0]
    folds = folded.count('class="warning"')

    assert before.count('class="warning"') == 1
    assert (before + folded).count("is always held") == 3
    assert f"and {folds} more to mind" in folded


def test_a_tile_meant_for_another_cone_says_so_where_it_was_put_in(recorder_client, firing, shelf):
    """Among other things to mind it stood in a fold only, and nobody opens a fold with forty tiles in hand."""
    high = GlazeFactory(name="Harbour", cone_low_order=CONE_10)
    wrong = glaze_tile(
        TileFactory(number=1042, planned_order=CONE_10, body=ClayBodyFactory(default_hold_min=30)),
        (high, {"band 1": 1}),
    )
    right = glazed(planned_order=CONE_6)
    sent = {"tiles": [wrong.number, right.number], "shelf": shelf.pk}
    shown = recorder_client.post(page_of(firing), sent, follow=True).content.decode()
    message = shown.partition('class="message message--warning"')[2].partition("</p>")[0]
    listed = shown.partition('class="shelf-tiles"')[2].partition("</ul>")[0]

    assert "2 tiles put into F-0231." in message
    assert (
        "Meant for another cone: 1042-9 (planned for cone\xa010); 1042-9 (Harbour from cone\xa010)."
        in message
    )
    assert listed.count("shelf-meant") == 1
    assert "planned for cone\xa010, Harbour from cone\xa010" in listed
    assert Placement.objects.count() == 2
    assert "Undo" in shown


def test_tiles_put_in_for_their_own_cone_are_put_in_without_a_word(recorder_client, firing, shelf):
    tile = glazed(planned_order=CONE_6)
    answer = recorder_client.post(page_of(firing), {"tiles": [tile.number], "shelf": shelf.pk}, follow=True)

    assert "message--success" in answer.content.decode()
    assert "shelf-meant" not in answer.content.decode()


def test_waiting_tiles_planned_for_this_cone_stand_first(recorder_client, firing):
    other, wanted = glazed(), glazed(planned_order=CONE_6)
    page = recorder_client.get(page_of(firing)).content.decode()

    assert page.index(wanted.label) < page.index(other.label)
    assert "planned for cone 6" in page


def test_shelves_are_drawn_with_their_tiles(recorder_client, recorder, firing, shelf):
    services.place_tiles(firing, [glazed(1042).pk], shelf, "front", True, by=recorder)
    page = recorder_client.get(page_of(firing)).content.decode()

    assert "plan-cookie" in page
    assert ">1042-9</text>" in page
    assert "style=" not in page


def test_a_second_firing_is_said(recorder_client, recorder, firing, shelf):
    tile = glazed(1042)
    services.place_tiles(FiringFactory(), [tile.pk], None, "", False, by=recorder)
    services.place_tiles(firing, [tile.pk], shelf, "", False, by=recorder)

    assert "second firing" in recorder_client.get(page_of(firing)).content.decode()


def test_a_tile_is_taken_off_and_put_back_by_undo(recorder_client, recorder, firing, shelf):
    services.place_tiles(firing, [glazed(1042).pk], shelf, "front", False, by=recorder)
    off = reverse("tiles:loading:take_off", args=[firing.number])
    page = recorder_client.post(off, {"tile": "1042-9"}, follow=True)
    assert not Placement.objects.exists()

    undo = next(iter(page.context["messages"])).extra_tags
    recorder_client.post(undo)

    assert Placement.objects.get().place == "front"


@pytest.mark.parametrize("tile", ["", "1042-8", "<b>"])
def test_taking_off_what_is_no_tile_says_so(recorder_client, firing, tile):
    off = reverse("tiles:loading:take_off", args=[firing.number])
    page = recorder_client.post(off, {"tile": tile}, follow=True).content.decode()

    assert "message--error" in page


def test_taking_off_a_judged_tile_says_why_it_stays(recorder_client, recorder, firing):
    services.place_tiles(firing, [glazed(1042).pk], None, "", False, by=recorder)
    Outcome.objects.update(judged_at=firing.created_at)
    off = reverse("tiles:loading:take_off", args=[firing.number])

    assert (
        "was judged after F-0231"
        in recorder_client.post(off, {"tile": "1042-9"}, follow=True).content.decode()
    )
    assert Placement.objects.exists()


def test_a_tile_that_is_not_in_the_firing_cannot_be_taken_off(recorder_client, firing):
    glazed(1042)
    off = reverse("tiles:loading:take_off", args=[firing.number])

    assert recorder_client.post(off, {"tile": "1042-9"}).status_code == 404


def test_a_bisque_firing_is_loaded_without_shelves(recorder_client):
    bisque = FiringFactory(purpose=Purpose.BISQUE.value)
    tile = TileFactory(number=1042)
    recorder_client.post(page_of(bisque), {"numbers": "1042-9"})
    tile.refresh_from_db()
    assert tile.bisque_firing == bisque

    recorder_client.post(reverse("tiles:loading:take_off", args=[bisque.number]), {"tile": "1042-9"})
    tile.refresh_from_db()
    assert tile.bisque_firing is None


def test_a_viewer_loads_nothing(viewer_client, firing):
    glazed(1042)

    assert viewer_client.get(page_of(firing)).status_code == 403
    assert viewer_client.post(page_of(firing), {"numbers": "1042-9"}).status_code == 403
    assert not Placement.objects.exists()


def test_ten_more_tiles_ask_no_more_queries(recorder_client, recorder, firing, shelf):
    services.place_tiles(firing, [glazed().pk], shelf, "", False, by=recorder)
    glazed(series=SeriesFactory())
    few = queries_of(recorder_client, page_of(firing))
    services.place_tiles(firing, [glazed().pk for _ in range(10)], shelf, "", False, by=recorder)
    for _ in range(10):
        glazed(series=SeriesFactory())

    assert queries_of(recorder_client, page_of(firing)) == few

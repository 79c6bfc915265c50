"""Where tiles are: noted for many at once, told on the tile's page, undone in one step."""

import pytest
from django.contrib.messages import get_messages
from django.test import Client

from studio.models import Person
from tests.counting import queries_of
from tests.factories import BoardFactory, BoardSlotFactory, PlaceFactory, TileFactory
from tiles.models import BoardSlot, Place, Tile
from tiles.places.queries import to_bring, where_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def box() -> Place:
    return PlaceFactory(name="Box 3")


def places_of(*tiles: Tile) -> list[str]:
    return [
        str(tile.place or "") for tile in Tile.objects.filter(pk__in=[t.pk for t in tiles]).order_by("number")
    ]


def undo(client: Client, answer) -> None:
    (message,) = get_messages(answer.wsgi_request)
    client.post(message.extra_tags)


def test_many_tiles_are_put_in_a_box_at_once_and_back_in_one_step(recorder_client: Client, box):
    shelf = PlaceFactory(name="Shelf", kind="shelf")
    one, two = TileFactory(place=shelf), TileFactory()
    typed = f"http://studio.example/T/{one.label}\n{two.label}"

    answer = recorder_client.post(f"/places/{box.pk}/put/", {"numbers": typed})

    assert places_of(one, two) == ["Box 3", "Box 3"]
    undo(recorder_client, answer)
    assert places_of(one, two) == ["Shelf", ""]


def test_a_tile_put_in_a_box_hangs_on_no_board_until_that_is_undone(recorder_client: Client, box):
    slot = BoardSlotFactory(board=BoardFactory(), row=1, column=1, tile=TileFactory())
    tile = slot.tile

    answer = recorder_client.post(f"/places/{box.pk}/put/", {"numbers": tile.label})

    assert not BoardSlot.objects.filter(tile=tile).exists()
    undo(recorder_client, answer)
    assert BoardSlot.objects.get(tile=tile) == slot


def test_undoing_leaves_a_tile_that_was_put_elsewhere_since(recorder_client: Client, box):
    one, two, other = TileFactory(), TileFactory(), PlaceFactory(name="Other")
    answer = recorder_client.post(f"/places/{box.pk}/put/", {"numbers": f"{one.label}, {two.label}"})
    recorder_client.post(f"/places/{other.pk}/put/", {"numbers": two.label})

    undo(recorder_client, answer)

    assert places_of(one, two) == ["", "Other"]


def test_a_number_asked_for_says_where_the_tile_is(viewer_client: Client, box):
    kept, hung = TileFactory(place=box), TileFactory(place=box)
    BoardSlotFactory(board=BoardFactory(name="By the door"), row=2, column=3, tile=hung)

    in_box = viewer_client.get("/tiles/find/", {"number": kept.label}, follow=True).content.decode()
    on_board = viewer_client.get("/tiles/find/", {"number": hung.label}, follow=True).content.decode()

    assert "Box 3" in in_box
    assert "By the door, row 2, column 3" in on_board


def test_tiles_are_brought_in_the_order_one_walks(viewer_client: Client, box):
    lost, boxed, hung = TileFactory(), TileFactory(place=box), TileFactory()
    BoardSlotFactory(board=BoardFactory(), row=1, column=1, tile=hung)
    asked = {"numbers": f"{lost.label} {boxed.label} {hung.label}"}

    page = viewer_client.get("/places/bring/", asked).content.decode()

    assert [one.tile for one in to_bring([lost, boxed, hung])] == [hung, boxed, lost]
    assert "nobody noted where it is" in page


def test_a_wrong_number_puts_nothing_and_loses_nothing_typed(recorder_client: Client, box):
    tile = TileFactory()
    typed = f"{tile.label}, 1042-8"

    answer = recorder_client.post(f"/places/{box.pk}/put/", {"numbers": typed})

    assert answer.status_code == 422
    assert typed in answer.content.decode()
    assert places_of(tile) == [""]


def test_taken_out_of_a_box_a_tile_is_nowhere(recorder_client: Client, box):
    tile = TileFactory(place=box)

    recorder_client.post(f"/places/{box.pk}/take/", {"numbers": tile.label})

    assert places_of(tile) == [""]


def test_a_box_in_the_bin_is_nowhere_to_look(keeper: Person, box):
    tile = TileFactory(place=box)
    box.put_in_bin(by=keeper)

    assert where_of([tile])[tile.pk].words == ""


def test_a_viewer_looks_and_puts_nothing(viewer_client: Client, box):
    tile = TileFactory()

    assert viewer_client.get(f"/places/{box.pk}/").status_code == 200
    assert viewer_client.post(f"/places/{box.pk}/put/", {"numbers": tile.label}).status_code == 403


def test_a_box_asks_no_more_queries_with_more_tiles(viewer_client: Client, box):
    TileFactory(place=box)
    few = queries_of(viewer_client, f"/places/{box.pk}/")
    for _ in range(8):
        TileFactory(place=box)

    assert queries_of(viewer_client, f"/places/{box.pk}/") == few

"""A typed tile number leads to its tile, or says what is wrong with it."""

import pytest
from django.urls import reverse

from tests.factories import TileFactory

pytestmark = pytest.mark.django_db

FIND = reverse("tiles:recording:find")
CHECK = reverse("tiles:recording:number_check")


@pytest.fixture
def tile():
    return TileFactory(number=1042)


@pytest.mark.parametrize("typed", ["1042-9", "10429", " 1042 9 ", "#1042-9", "1042–9"])
def test_a_number_as_people_write_it_opens_the_tile(viewer_client, tile, typed):
    answer = viewer_client.get(FIND, {"number": typed})

    assert (answer.status_code, answer.url) == (302, tile.get_absolute_url())


@pytest.mark.parametrize("typed", ["1024-9", "1042-8", "1042", "1142-9"])
def test_a_slip_says_so_and_shows_the_tile_meant(viewer_client, tile, typed):
    answer = viewer_client.get(FIND, {"number": typed})
    page = answer.content.decode()

    assert answer.status_code == 422
    assert "one digit is wrong or two are swapped" in page
    assert tile.get_absolute_url() in page
    assert f'value="{typed}"' in page


def test_words_are_no_number(viewer_client):
    answer = viewer_client.get(FIND, {"number": "<harbour>"})

    assert answer.status_code == 422
    assert b"digits and a check digit" in answer.content
    assert b"<harbour>" not in answer.content


def test_a_sound_number_without_a_tile_is_told_apart(viewer_client, tile):
    # The digit by the table of H. M. Damm, 2004: 1043 gives 2
    answer = viewer_client.get(FIND, {"number": "1043-2"})

    assert answer.status_code == 404
    assert "no tile has it" in answer.content.decode()


def test_a_tile_in_the_bin_is_said_to_be_there(viewer_client, tile, keeper):
    tile.put_in_bin(by=keeper)
    answer = viewer_client.get(FIND, {"number": "1042-9"})

    assert answer.status_code == 404
    assert "in the bin" in answer.content.decode()


def test_without_a_number_the_page_asks_for_one(viewer_client):
    assert viewer_client.get(FIND).status_code == 200


@pytest.mark.parametrize(
    ("number", "wanted", "status"),
    [
        ("1042-9", "given", 200),
        ("1043-2", "given", 422),
        ("1042-9", "free", 422),
        ("1043-2", "free", 200),
        ("1024-9", "free", 422),
        ("", "given", 422),
    ],
)
def test_the_number_box_is_answered_as_one_types(viewer_client, tile, number, wanted, status):
    answer = viewer_client.get(CHECK, {"number": number, "for": wanted})

    assert answer.status_code == status
    assert bool(answer.json()["words"]) == (status == 422)


def test_who_is_not_signed_in_learns_nothing(client, tile):
    assert client.get(FIND, {"number": "1042-9"}).url.startswith(reverse("people:sign_in"))

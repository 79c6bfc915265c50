"""The sorting tray's pages: what they show, what they refuse in words, and who may do what."""

from http import HTTPStatus

import pytest
from django.urls import reverse

from tests.factories import TileFactory
from tiles.models import Photo, PhotoFiling
from tiles.tray import services

pytestmark = pytest.mark.django_db

TRAY = "/photos/"


def page(name: str, *args: object) -> str:
    return reverse(f"tiles:tray:{name}", args=args)


def messages_of(answer) -> list[str]:
    return [str(message) for message in answer.context["messages"]]


def test_the_tray_shows_each_photo_with_its_reason(viewer_client, stored):
    photo = stored()

    words = viewer_client.get(TRAY).content.decode()

    assert reverse("tiles:photos:rendition", args=[photo.sha256, "medium"]) in words
    assert "No tile code in view." in words


def test_the_tray_asks_no_more_of_the_database_for_more_photos(
    recorder_client, stored, django_assert_max_num_queries
):
    stored()
    with django_assert_max_num_queries(50) as few:
        recorder_client.get(TRAY)
    for _ in range(10):
        stored()

    with django_assert_max_num_queries(len(few.captured_queries)):
        recorder_client.get(TRAY)


def test_an_empty_tray_says_what_it_is_for(viewer_client):
    assert "The tray is empty" in viewer_client.get(TRAY).content.decode()


def test_a_typed_number_files_the_photo_and_can_be_undone(recorder_client, stored):
    tile, photo = TileFactory(), stored()

    answer = recorder_client.post(page("file", photo.sha256), {"number": tile.label}, follow=True)
    (said,) = answer.context["messages"]
    undone = recorder_client.post(said.extra_tags, follow=True)

    assert f"with tile {tile.label}" in str(said)
    assert f"off tile {tile.label}" in messages_of(undone)[0]
    assert list(Photo.objects.unfiled()) == [photo]


def test_taking_a_photo_off_its_tile_can_be_undone(recorder_client, stored):
    tile = TileFactory()
    filed = stored(tile=tile).filings.get()

    answer = recorder_client.post(page("unfile", filed.pk), follow=True)
    (said,) = answer.context["messages"]
    recorder_client.post(said.extra_tags)

    assert tile.photo_filings.count() == 1


@pytest.mark.parametrize(
    ("typed", "words"), [("1024-9", "two are swapped"), ("", "digits"), ("12<b>", "digits")]
)
def test_a_wrong_number_is_answered_in_place_with_what_was_typed(recorder_client, stored, typed, words):
    photo = stored()

    for headers in ({}, {"hx-request": "true"}):
        answer = recorder_client.post(page("file", photo.sha256), {"number": typed}, headers=headers)

        assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
        assert words in answer.content.decode()
        assert "<b>" not in answer.content.decode()
    assert not PhotoFiling.objects.exists()


def test_with_htmx_a_filed_photo_leaves_only_the_news(recorder_client, stored):
    tile, photo = TileFactory(), stored()

    answer = recorder_client.post(
        page("file", photo.sha256), {"number": tile.label}, headers={"hx-request": "true"}
    )

    words = answer.content.decode()
    assert 'hx-swap-oob="innerHTML"' in words
    assert tile.label in words
    assert "tray-photo" not in words


# Who may

CHANGING = ["file", "unfile", "refile"]


@pytest.fixture
def addresses(stored, recorder) -> dict[str, tuple[str, str]]:
    """Every address of the tray with the method it takes, leading to things that are there."""
    filed, waiting, off = (stored(tile=TileFactory()), stored(), stored(tile=TileFactory()))
    undo = services.unfile_photo(off.filings.get(), by=recorder)
    return {
        "tray": ("get", TRAY),
        "file": ("post", page("file", waiting.sha256)),
        "unfile": ("post", page("unfile", filed.filings.get().pk)),
        "refile": ("post", page("refile", undo)),
    }


def test_a_viewer_sees_the_tray(viewer_client, addresses):
    assert viewer_client.get(TRAY).status_code == HTTPStatus.OK


@pytest.mark.parametrize("name", CHANGING)
def test_a_viewer_files_nothing(viewer_client, addresses, name):
    method, address = addresses[name]
    before = PhotoFiling.objects.count()

    assert getattr(viewer_client, method)(address).status_code == HTTPStatus.FORBIDDEN
    assert PhotoFiling.objects.count() == before


@pytest.mark.parametrize("name", ["unfile", "refile"])
def test_nothing_is_changed_by_following_a_link(recorder_client, addresses, name):
    assert recorder_client.get(addresses[name][1]).status_code == HTTPStatus.METHOD_NOT_ALLOWED

"""A tile that shares its photo is shown by its own part of it, everywhere."""

import io
from http import HTTPStatus

import pytest
from django.urls import reverse
from PIL import Image

from tests.factories import FiringFactory, PlacementFactory, TileFactory
from tests.tiles.photos import corpus
from tiles.photos.codes import Region
from tiles.tray import services
from tiles.tray.parts.queries import shown_of
from tiles.tray.parts.services import path_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def shared(stored):
    """A photo of two tiles beside one another."""
    tiles = [PlacementFactory(firing=FiringFactory(fired=True)).tile for _ in range(2)]
    photo = stored(corpus.noisy_jpeg(640, 480))
    photo.filings.all().delete()
    for tile, left in zip(tiles, (0, 0.5), strict=True):
        services.file_photo(photo, tile, by=None, region=Region(left, 0, 0.5, 1))
    return photo


def part_of(photo, written: str, size: str = "medium") -> str:
    return reverse("tiles:tray:part", args=[photo.sha256, written, size])


def test_a_part_is_served_bare_and_for_long(viewer_client, shared):
    answer = viewer_client.get(part_of(shared, "5000-0-5000-10000"))

    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["Cache-Control"] == "private, max-age=31536000, immutable"
    assert Image.open(io.BytesIO(b"".join(answer.streaming_content))).size == (320, 480)


def test_only_parts_that_tiles_are_filed_with_are_cut(viewer_client, shared, photo_store):
    answer = viewer_client.get(part_of(shared, "0-0-1-1"))

    assert answer.status_code == HTTPStatus.NOT_FOUND
    assert not list(photo_store.rglob("*0-0-1-1*"))


def test_the_tile_page_shows_the_tiles_own_part(viewer_client, shared):
    first, second = shared.filings.order_by("pk")

    words = viewer_client.get(first.tile.get_absolute_url()).content.decode()

    assert part_of(shared, "0-0-5000-10000") in words
    assert part_of(shared, "5000-0-5000-10000") not in words
    assert second.tile.label not in words


def test_the_unload_page_shows_the_tiles_own_part(viewer_client, shared):
    filed = shared.filings.order_by("pk").first()

    words = viewer_client.get(reverse("tiles:unloading:firing", args=[filed.placement.firing.number]))

    assert part_of(shared, "0-0-5000-10000", "small") in words.content.decode()


def test_a_photo_of_one_tile_is_shown_whole(stored):
    photo = stored(tile=TileFactory())

    assert shown_of(photo.filings.get()) == photo


def test_cards_are_printed_with_the_tiles_own_part(shared):
    path = path_of(shown_of(shared.filings.first()), "small")

    assert Image.open(path).size == (213, 320)

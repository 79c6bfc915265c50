"""What a look found, in words: on the photo's page and at the command line."""

from dataclasses import replace

import pytest
from django.urls import reverse

from tests.factories import PhotoFactory
from tests.tiles.photos.test_look import INDOORS, looked
from tiles.photos.light import advice_on
from tiles.photos.look_words import mat_words, said_of


def test_what_was_found_is_said_with_its_figures():
    said = dict(said_of(looked(INDOORS)))

    assert said["Tile codes"] == "1042-9"
    assert said["Photo mat"].startswith("A4; ")
    assert "after correction" in said["Colour chart"]
    assert "No grey card lies" in said["Grey card"]
    assert "less to the" in said["Light"]
    assert "pixels wide" in said["Sharpness"]


def test_a_rough_scale_is_called_rough():
    mat = replace(looked(INDOORS).mat, is_rough=True, corners=("UL",))

    assert "rough" in mat_words(mat)
    assert any(
        "Only 1 of the mat’s 4 codes was read" in said for said in advice_on(looked(INDOORS).light, mat)
    )


@pytest.mark.django_db
def test_the_photos_page_says_what_to_do_better(viewer_client):
    photo = PhotoFactory(look=looked(INDOORS).as_json())

    page = viewer_client.get(reverse("tiles:photos:photo", args=[photo.sha256])).content.decode()

    assert "Light falls off" in page
    assert "pixels to a millimetre" in page


@pytest.mark.django_db
@pytest.mark.parametrize("kept", [None, {"version": 0}, {"version": 1}], ids=["not yet", "older", "torn"])
def test_a_photo_nobody_has_looked_at_says_so(viewer_client, kept):
    photo = PhotoFactory(look=kept)

    page = viewer_client.get(reverse("tiles:photos:photo", args=[photo.sha256])).content.decode()

    assert "Not looked at yet." in page

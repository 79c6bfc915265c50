"""The photo pages: what they take, what they refuse, and who may do what."""

import io
from http import HTTPStatus
from urllib.parse import urlencode

import pytest
from django.http import UnreadablePostError
from django.test import Client
from django.urls import reverse
from PIL import Image

from tests.factories import FiringFactory, PhotoFactory, PlacementFactory, TileFactory
from tests.tiles.photos import corpus
from tests.tiles.photos.conftest import upload
from tiles import numbers
from tiles.models import Photo, PhotoFiling
from tiles.photos import services
from tiles.photos.store import Arrival

pytestmark = pytest.mark.django_db

RECEIVE, TRAY = "/photos/receive/", "/photos/"
JSON = {"headers": {"accept": "application/json"}}


def page(name: str, *args: object) -> str:
    return reverse(f"tiles:photos:{name}", args=args)


def send(client, content: bytes, **fields: object):
    """A photo as the queue on the phone sends it: the body, and what it shows in the address."""
    where = f"{RECEIVE}?{urlencode({'name': 'IMG_1.jpg', **fields})}"
    return client.generic("POST", where, content, CONTENT_TYPE="application/octet-stream", **JSON)


def send_in_form(client, *contents: bytes, **fields: object):
    """Photos in a form that asks for the short answer."""
    return client.post(RECEIVE, {"photo": [upload(content) for content in contents], **fields}, **JSON)


def send_cut(client, content: bytes, byte_count: int) -> None:
    """A body shorter than it was announced, as a server that streams hands it on."""
    client.generic(
        "POST",
        RECEIVE,
        content,
        content_type="application/octet-stream",
        CONTENT_LENGTH=str(byte_count),
        **{"wsgi.input": io.BytesIO(content)},
        **JSON,
    )


def no_room(*_: object, **__: object) -> None:
    raise OSError(28, "No space left on device")


def messages_of(answer) -> list[str]:
    return [str(message) for message in answer.context["messages"]]


# Receiving


def test_a_photo_for_a_tile_is_filed_and_the_queue_is_told_where(recorder_client):
    tile = TileFactory()

    answer = send(recorder_client, corpus.jpeg(), tile=tile.label)

    told = answer.json()
    photo = Photo.objects.get()
    assert answer.status_code == HTTPStatus.CREATED
    assert (told["state"], told["tile"]) == ("filed", tile.label)
    assert told["photo"]["page"] == page("photo", photo.sha256)
    assert told["photo"]["small"] == page("rendition", photo.sha256, "small")


def test_a_photo_for_a_place_in_a_firing_and_a_zone_is_filed_there(recorder_client):
    placement = PlacementFactory(firing=FiringFactory(fired=True))
    zone = placement.tile.zones.first()

    send(recorder_client, corpus.jpeg(), placement=placement.pk, zone=zone.pk)

    filed = PhotoFiling.objects.get()
    assert (filed.tile, filed.placement, filed.zone) == (placement.tile, placement, zone)


def test_a_photo_sent_for_no_tile_is_stored_and_says_no_more_until_it_was_looked_at(recorder_client):
    told = send(recorder_client, corpus.jpeg()).json()

    assert told["state"] == "stored"
    assert told["reason"] == ""


def test_a_photo_that_names_no_tile_waits_with_the_reason(recorder_client):
    send(recorder_client, corpus.jpeg())
    told = send(recorder_client, corpus.jpeg()).json()

    assert told["state"] == "stored"
    assert told["reason"] == "No tile code in view."


def test_the_same_photo_sent_again_gets_the_same_answer(recorder_client):
    tile = TileFactory()

    answers = [send(recorder_client, corpus.jpeg(), tile=tile.label).json() for _ in range(2)]

    assert answers[0] == answers[1]
    assert Photo.objects.count() == 1


def test_the_same_photo_goes_to_a_second_tile_only_when_asked_for_once_more(recorder_client):
    """Photographing one tile twice under two numbers is the slip of a tired hand; two tiles in one photo are rarer."""
    first, second = TileFactory(), TileFactory()
    send(recorder_client, corpus.jpeg(), tile=first.label)

    answer = send(recorder_client, corpus.jpeg(), tile=second.label)

    assert answer.status_code == HTTPStatus.CREATED
    assert answer.json()["state"] == "elsewhere"
    assert answer.json()["reason"] == f"This photo is on tile {first.label} already, so it was not put here."
    assert set(PhotoFiling.objects.values_list("tile", flat=True)) == {first.pk}

    told = send(recorder_client, corpus.jpeg(), tile=second.label, anyway="on").json()
    assert (told["state"], told["tile"]) == ("filed", second.label)
    assert set(PhotoFiling.objects.values_list("tile", flat=True)) == {first.pk, second.pk}


def test_a_photo_on_two_tiles_sent_again_for_either_is_filed_as_before(recorder_client):
    first, second = TileFactory(), TileFactory()
    send(recorder_client, corpus.jpeg(), tile=first.label)
    send(recorder_client, corpus.jpeg(), tile=second.label, anyway="on")

    assert send(recorder_client, corpus.jpeg(), tile=first.label).json()["state"] == "filed"
    assert PhotoFiling.objects.count() == 2


def test_without_scripts_the_message_says_where_the_photo_is_already(recorder_client):
    first, second = TileFactory(), TileFactory()
    send(recorder_client, corpus.jpeg(), tile=first.label)

    answer = recorder_client.post(
        RECEIVE, {"photo": [upload(corpus.jpeg())], "tile": second.label}, follow=True
    )

    assert f"This photo is on tile {first.label} already" in " ".join(messages_of(answer))
    assert set(PhotoFiling.objects.values_list("tile", flat=True)) == {first.pk}


@pytest.mark.filterwarnings("ignore:Image size")
@pytest.mark.parametrize("name", [name for name in corpus.REFUSED if name not in corpus.DAMAGE_WITHIN])
def test_what_is_no_photo_is_refused_with_words_and_nothing_is_kept(recorder_client, name, files_kept):
    make, word = corpus.REFUSED[name]

    answer = send(recorder_client, make())

    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert answer.json()["state"] == "refused"
    assert word in answer.json()["reason"]
    assert files_kept() == []
    assert not Photo.everything.exists()


@pytest.mark.parametrize("name", corpus.DAMAGE_WITHIN)
def test_damage_that_only_decoding_shows_is_told_afterwards_and_the_file_is_kept(
    recorder_client, name, files_kept
):
    make, _ = corpus.REFUSED[name]

    answer = send(recorder_client, make())
    again = send(recorder_client, make())

    assert answer.status_code == HTTPStatus.CREATED
    assert (again.json()["state"], "damaged" in again.json()["reason"]) == ("damaged", True)
    assert [file.read_bytes() for file in files_kept()] == [make()]


@pytest.mark.parametrize("name", ["photo.png", "photo.txt", "photo", "photo.jpg.exe", "../../etc/passwd"])
def test_what_a_photo_is_called_does_not_matter(recorder_client, name):
    answer = recorder_client.post(RECEIVE, {"photo": upload(corpus.jpeg(), name)}, **JSON)

    assert answer.status_code == HTTPStatus.CREATED
    assert "/" not in Photo.objects.get().original_name


SENT_FOR_WHAT_IS_NOT_THERE = {
    "a wrong digit": lambda: {"tile": "1042-8"},
    "no such tile": lambda: {"tile": numbers.write(987)},
    "no number": lambda: {"tile": "the blue one"},
    "no such place": lambda: {"placement": 987654},
    "a number too large for any database": lambda: {"placement": 10**30, "zone": -(10**30)},
    "words for a place": lambda: {"placement": "top shelf"},
    "a zone of another tile": lambda: {
        "placement": PlacementFactory().pk,
        "zone": TileFactory().zones.first().pk,
    },
    "a place of another tile": lambda: {"placement": PlacementFactory().pk, "tile": TileFactory().label},
}


@pytest.mark.parametrize("case", SENT_FOR_WHAT_IS_NOT_THERE)
def test_a_photo_sent_for_what_is_not_there_is_kept_all_the_same(recorder_client, case):
    told = send(recorder_client, corpus.jpeg(), **SENT_FOR_WHAT_IS_NOT_THERE[case]()).json()

    assert told["state"] == "stored"
    assert told["reason"].startswith("It was sent with a tile, but:")
    assert Photo.objects.unfiled().count() == 1


def test_a_request_without_a_photo_is_told_so(recorder_client):
    answer = recorder_client.post(RECEIVE, {}, **JSON)

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert "No photo came along" in answer.json()["reason"]


@pytest.mark.parametrize("name", ["", "..", "/etc/passwd", "C:\\photos\\IMG_2.jpg", "фото.jpg", "a\0b"])
def test_a_name_in_the_address_leads_nowhere(recorder_client, name):
    assert send(recorder_client, corpus.jpeg(), name=name).status_code == HTTPStatus.CREATED
    assert Photo.objects.get().original_name in ("photo", "passwd", "IMG_2.jpg", "фото.jpg", "ab")


def test_the_queue_sends_one_photo_at_a_time(recorder_client):
    answer = send_in_form(recorder_client, corpus.jpeg(), corpus.noisy_jpeg(40, 30))

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert not Photo.objects.exists()


def test_a_body_larger_than_a_photo_may_be_is_not_read(recorder_client, settings, files_kept):
    settings.PHOTO_MAX_BYTES = 100_000

    answer = send(recorder_client, corpus.jpeg() + bytes(200_000))

    assert answer.status_code == HTTPStatus.REQUEST_ENTITY_TOO_LARGE
    assert "too large" in answer.json()["reason"]
    assert not files_kept()


@pytest.mark.parametrize("way", [send, send_in_form])
def test_what_was_not_kept_leaves_nothing_behind(recorder_client, photo_store, way):
    answer = way(recorder_client, corpus.EPS)

    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert not list((photo_store / "arriving").iterdir())


def test_a_file_larger_than_a_photo_may_be_is_not_even_kept_for_looking(recorder_client, settings):
    settings.PHOTO_MAX_BYTES = 100_000
    settings.FILE_UPLOAD_HANDLERS = [
        "tiles.photos.http.LeaveOutTooLarge",
        "django.core.files.uploadhandler.MemoryFileUploadHandler",
        "django.core.files.uploadhandler.TemporaryFileUploadHandler",
    ]

    answer = send_in_form(recorder_client, corpus.jpeg() + bytes(200_000))

    assert answer.status_code == HTTPStatus.REQUEST_ENTITY_TOO_LARGE
    assert answer.json()["state"] == "refused"
    assert "too large" in answer.json()["reason"]


def test_a_photo_that_breaks_off_half_way_is_not_kept(recorder_client, photo_store):
    content = corpus.jpeg()

    with pytest.raises(UnreadablePostError):
        send_cut(recorder_client, content[: len(content) // 2], len(content))

    assert not Photo.objects.exists()
    assert not list((photo_store / "arriving").iterdir())


@pytest.mark.parametrize("way", [send, send_in_form])
def test_a_disk_that_refuses_as_the_photo_comes_in_asks_to_keep_it(recorder_client, monkeypatch, way):
    monkeypatch.setattr(Arrival, "write", no_room)

    answer = way(recorder_client, corpus.jpeg())

    assert answer.status_code == HTTPStatus.INSUFFICIENT_STORAGE
    assert "Keep the photo" in answer.json()["reason"]


def test_a_full_disk_asks_to_keep_the_photo(recorder_client, monkeypatch):
    monkeypatch.setattr(services.photo_store().__class__, "keep_original", no_room)

    answer = send(recorder_client, corpus.jpeg())

    assert answer.status_code == HTTPStatus.INSUFFICIENT_STORAGE
    assert answer.json()["state"] == "unsent"
    assert "Keep the photo" in answer.json()["reason"]


def test_without_scripts_several_photos_go_in_one_form(recorder_client):
    tile = TileFactory()
    photos = [upload(corpus.jpeg()), upload(corpus.noisy_jpeg(40, 30))]

    answer = recorder_client.post(
        RECEIVE, {"photo": photos, "tile": tile.label, "next": tile.get_absolute_url()}
    )

    assert answer.status_code == HTTPStatus.FOUND
    assert answer.url == tile.get_absolute_url()
    assert tile.photo_filings.count() == 2


def test_without_scripts_a_refusal_names_the_file_and_keeps_the_others(recorder_client):
    photos = [upload(corpus.EPS, "plan.eps"), upload(corpus.jpeg())]

    answer = recorder_client.post(RECEIVE, {"photo": photos})

    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "plan.eps" in answer.content.decode()
    assert "EPS" in answer.content.decode()
    assert Photo.objects.count() == 1


def test_a_form_does_not_lead_to_another_site(recorder_client):
    answer = recorder_client.post(
        RECEIVE, {"photo": upload(corpus.jpeg()), "next": "https://elsewhere.example/"}
    )

    assert answer.url == TRAY


def test_the_page_after_a_refusal_can_be_opened_again(recorder_client):
    assert recorder_client.get(RECEIVE).url == TRAY


# Showing


@pytest.mark.parametrize("size", ["small", "medium", "large"])
def test_a_rendition_is_served_bare_and_for_long(viewer_client, stored, size):
    photo = stored(corpus.telling_jpeg())

    answer = viewer_client.get(page("rendition", photo.sha256, size))
    content = b"".join(answer.streaming_content)

    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["Cache-Control"] == "private, max-age=31536000, immutable"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert Image.open(io.BytesIO(content)).size == corpus.UPRIGHT_SIZE
    assert corpus.SECRET_PLACE.encode() not in content
    assert corpus.SCRIPT not in content


def test_the_original_comes_byte_for_byte_as_a_download(recorder_client, stored):
    photo = stored(corpus.telling_jpeg(), name="IMG_0001.jpg")

    answer = recorder_client.get(page("original", photo.sha256))

    assert b"".join(answer.streaming_content) == corpus.telling_jpeg()
    assert answer.headers["Content-Disposition"] == 'attachment; filename="IMG_0001.jpg"'
    assert answer.headers["Cache-Control"] == "private, no-store"


@pytest.mark.parametrize("name", ["rendition", "original"])
def test_a_photo_whose_file_is_missing_is_not_there(recorder_client, name):
    photo = PhotoFactory(format="JPEG")
    size = ["small"] if name == "rendition" else []

    assert recorder_client.get(page(name, photo.sha256, *size)).status_code == HTTPStatus.NOT_FOUND


def test_the_photo_page_says_which_tile_after_which_firing(viewer_client, stored):
    placement = PlacementFactory(firing=FiringFactory(fired=True))
    zone = placement.tile.zones.first()
    photo = stored(corpus.telling_jpeg(), placement=placement, zone=zone)

    words = viewer_client.get(page("photo", photo.sha256)).content.decode()

    assert placement.tile.label in words
    assert placement.firing.label in words
    assert zone.name in words
    assert "Save a copy of the original" not in words
    assert corpus.SECRET_PLACE not in words


def test_an_unknown_photo_is_not_there(viewer_client):
    assert viewer_client.get(page("photo", "0" * 64)).status_code == HTTPStatus.NOT_FOUND


# The bin


def test_a_photo_put_in_the_bin_can_be_taken_out(recorder_client, stored):
    photo = stored()

    answer = recorder_client.post(page("bin", photo.sha256), follow=True)
    (said,) = answer.context["messages"]

    assert not Photo.objects.exists()
    assert Photo.everything.get().binned_by is not None
    recorder_client.post(said.extra_tags)
    assert Photo.objects.get() == photo


# Who may

VIEWING = ["photo", "rendition"]
CHANGING = ["original", "bin", "unbin"]


@pytest.fixture
def addresses(stored, recorder) -> dict[str, tuple[str, str]]:
    """Every photo address with the method it takes, leading to things that are there."""
    filed, waiting, binned = (stored(tile=TileFactory()), stored(), stored())
    services.bin_photo(binned, by=recorder)
    return {
        "photo": ("get", page("photo", filed.sha256)),
        "rendition": ("get", page("rendition", filed.sha256, "small")),
        "original": ("get", page("original", filed.sha256)),
        "receive": ("post", RECEIVE),
        "bin": ("post", page("bin", waiting.sha256)),
        "unbin": ("post", page("unbin", binned.sha256)),
    }


@pytest.mark.parametrize("name", [*VIEWING, *CHANGING, "receive"])
def test_who_is_signed_out_is_led_to_sign_in(client, addresses, name):
    method, address = addresses[name]

    answer = getattr(client, method)(address)

    assert answer.status_code == HTTPStatus.FOUND
    assert reverse("people:sign_in") in answer.url


@pytest.mark.parametrize("name", [*VIEWING, *CHANGING, "receive"])
def test_who_holds_no_role_sees_and_does_nothing(client, stranger, addresses, name):
    client.force_login(stranger)
    method, address = addresses[name]

    assert getattr(client, method)(address).status_code == HTTPStatus.FORBIDDEN


@pytest.mark.parametrize("name", VIEWING)
def test_a_viewer_sees(viewer_client, addresses, name):
    assert viewer_client.get(addresses[name][1]).status_code == HTTPStatus.OK


@pytest.mark.parametrize("name", [*CHANGING, "receive"])
def test_a_viewer_changes_nothing(viewer_client, addresses, name):
    method, address = addresses[name]
    before = (Photo.objects.count(), PhotoFiling.objects.count())

    assert getattr(viewer_client, method)(address).status_code == HTTPStatus.FORBIDDEN
    assert (Photo.objects.count(), PhotoFiling.objects.count()) == before


@pytest.mark.parametrize("name", [*VIEWING, *CHANGING, "receive"])
@pytest.mark.parametrize("role", ["recorder_client", "keeper_client"])
def test_recorder_and_keeper_may_do_all(request, addresses, name, role):
    method, address = addresses[name]

    answer = getattr(request.getfixturevalue(role), method)(address)

    # Without a number or a photo the answer is a request for one, not a refusal of the person.
    assert answer.status_code < 500
    assert answer.status_code != HTTPStatus.FORBIDDEN


@pytest.mark.parametrize("name", ["bin", "unbin"])
def test_nothing_is_changed_by_following_a_link(recorder_client, addresses, name):
    assert recorder_client.get(addresses[name][1]).status_code == HTTPStatus.METHOD_NOT_ALLOWED


def test_a_form_of_another_site_sends_no_photo(recorder):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(recorder)

    assert strict.post(RECEIVE, {"photo": upload(corpus.jpeg())}).status_code == HTTPStatus.FORBIDDEN
    assert not Photo.objects.exists()

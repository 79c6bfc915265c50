"""Sorting several at once, one after the other, and by the order of shooting; each undone in one step."""

from datetime import UTC, datetime, timedelta
from http import HTTPStatus

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import FiringFactory, PhotoFactory, PhotoFilingFactory, PlacementFactory, TileFactory
from tests.tiles.photos import corpus
from tiles.models import Photo, PhotoFiling, Placement
from tiles.vocabulary import FiledBy

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 10, 14, 12, tzinfo=UTC)
HTMX = {"hx-request": "true"}


def page(name: str, *args: object) -> str:
    return reverse(f"tiles:tray:{name}", args=args)


@pytest.fixture
def burst(recorder):
    """Five tiles of a firing photographed in the order of the list, ten seconds apart; only the ends have a code."""
    firing = FiringFactory(fired=True, started_at=NOON - timedelta(days=1))
    placements = [PlacementFactory(firing=firing, tile=TileFactory(number=2001 + n)) for n in range(5)]
    photos = [
        PhotoFactory(
            taken_at=NOON + timedelta(seconds=10 * n), stored_by=recorder, tray_reason="No tile code in view."
        )
        for n in range(5)
    ]
    for end in (0, 4):
        PhotoFilingFactory(photo=photos[end], tile=placements[end].tile, placement=placements[end])
    return photos, [placement.tile for placement in placements]


def send(client, content: bytes, firing: int | str) -> str:
    """Send a photo as a phone does from a firing's page; its name."""
    where = f"{reverse('tiles:photos:receive')}?name=a.jpg&firing={firing}"
    sent = {"content_type": "application/octet-stream", "headers": {"accept": "application/json"}}
    return client.post(where, content, **sent).json()["photo"]["sha256"]


def takes(photos, tiles) -> list[str]:
    return [f"{photo.sha256}:{tile.label}" for photo, tile in zip(photos, tiles, strict=True)]


def undo(client, answer):
    """Press the undo of the first message on the page that followed."""
    (said, *_) = answer.context["messages"]
    return client.post(said.extra_tags, follow=True)


# The order of shooting


def test_the_tray_suggests_what_lies_between_two_known_photos(recorder_client, burst):
    _, tiles = burst

    words = " ".join(recorder_client.get("/photos/").content.decode().split())

    assert (
        f'Perhaps <strong class="figures">{tiles[1].label}</strong>, between {tiles[0].label} and {tiles[4].label}'
        in words
    )
    assert "suggests tiles for 3 photos" in words
    assert not PhotoFiling.objects.filter(tile=tiles[1]).exists()


# Two firings unloaded one after the other


@pytest.fixture
def next_firing() -> list[Placement]:
    """Another firing of three tiles, opened as soon as the first was through."""
    firing = FiringFactory(fired=True, started_at=NOON - timedelta(hours=20))
    return [PlacementFactory(firing=firing, tile=TileFactory(number=2101 + n)) for n in range(3)]


def offered(client) -> list[str]:
    """The tiles suggested in the tray, oldest photo first."""
    runs = client.get(page("runs")).context["runs"]
    return [perhaps.label for run in runs for perhaps in run.photos]


def test_photos_sent_from_the_next_firings_page_are_offered_its_tiles(recorder_client, burst, next_firing):
    _, tiles = burst
    Photo.objects.update(sent_from=tiles[0].placements.get().firing)
    for n, placement in enumerate(next_firing):
        sha256 = send(recorder_client, corpus.noisy_jpeg(64, 48, seed=n), firing=placement.firing.number)
        Photo.objects.filter(sha256=sha256).update(taken_at=NOON + timedelta(minutes=5, seconds=10 * n))

    assert offered(recorder_client) == [
        *(tile.label for tile in tiles[1:4]),
        *(placement.tile.label for placement in next_firing),
    ]


def test_a_slip_into_the_wrong_firings_page_goes_by_the_codes_in_view(recorder_client, burst, next_firing):
    _, tiles = burst
    Photo.objects.update(sent_from=next_firing[0].firing)

    assert offered(recorder_client) == [tile.label for tile in tiles[1:4]]


def test_a_photo_sent_with_a_firing_that_is_not_there_is_kept_all_the_same(recorder_client):
    send(recorder_client, corpus.jpeg(), "99999999999999999999")

    assert Photo.objects.get().sent_from is None


def test_the_run_is_seen_side_by_side_with_the_known_photos_at_its_ends(viewer_client, burst):
    _, tiles = burst

    words = viewer_client.get(page("runs")).content.decode()

    assert [words.count(f">{tile.label}<") for tile in tiles] == [1] * 5
    assert "File the ticked photos" not in words


def test_accepting_a_run_files_it_by_order_and_is_undone_in_one_step(recorder_client, burst):
    photos, tiles = burst

    answer = recorder_client.post(page("accept"), {"take": takes(photos[1:4], tiles[1:4])}, follow=True)

    filed = PhotoFiling.objects.filter(photo__in=photos[1:4])
    assert {each.photo: each.tile for each in filed} == dict(zip(photos[1:4], tiles[1:4], strict=True))
    assert {each.filed_how for each in filed} == {FiledBy.ORDER.value}
    assert all(each.placement is not None for each in filed)

    undone = undo(recorder_client, answer)
    assert list(Photo.objects.unfiled().order_by("taken_at")) == photos[1:4]

    undo(recorder_client, undone)
    assert {each.filed_how for each in PhotoFiling.objects.filter(photo__in=photos[1:4])} == {
        FiledBy.ORDER.value
    }


def test_one_suggestion_is_accepted_by_one_tap(recorder_client, burst):
    photos, tiles = burst

    answer = recorder_client.post(page("accept"), {"take": takes(photos[1:2], tiles[1:2])}, headers=HTMX)

    assert photos[1].filings.get().tile == tiles[1]
    assert "tray-photo" not in answer.content.decode()


def test_a_photo_that_left_the_tray_meanwhile_stays_as_it_is(recorder_client, burst):
    photos, tiles = burst
    other = TileFactory()
    PhotoFilingFactory(photo=photos[1], tile=other)

    answer = recorder_client.post(page("accept"), {"take": takes(photos[1:3], tiles[1:3])}, follow=True)

    assert photos[1].filings.get().tile == other
    assert photos[2].filings.get().tile == tiles[2]
    assert "1 of them had left the tray" in answer.content.decode()


@pytest.mark.parametrize("take", [[], ["nonsense"], ["x" * 99 + ":1042-9"], ["a:b:c"], ["\0:1042-9"]])
def test_nothing_sensible_accepted_files_nothing(recorder_client, burst, take):
    before = PhotoFiling.objects.count()

    assert recorder_client.post(page("accept"), {"take": take}, follow=True).status_code == HTTPStatus.OK
    assert PhotoFiling.objects.count() == before


def test_photos_of_two_people_are_two_bursts(recorder_client, burst, keeper):
    photos, _ = burst
    Photo.objects.filter(pk=photos[2].pk).update(stored_by=keeper)

    words = recorder_client.get(page("runs")).content.decode()

    assert "2 photos between" in words
    assert "Nothing to suggest" in words


def test_the_tray_asks_no_more_of_the_database_for_a_longer_run(
    recorder_client, burst, django_assert_max_num_queries
):
    photos, _ = burst
    with django_assert_max_num_queries(60) as few:
        recorder_client.get("/photos/")
    for n in range(10):
        PhotoFactory(taken_at=NOON + timedelta(seconds=11 + n / 10), stored_by=photos[0].stored_by)

    with django_assert_max_num_queries(len(few.captured_queries)):
        recorder_client.get("/photos/")


# One after the other


def test_sorting_begins_with_the_photo_taken_first_and_goes_on_to_the_next(recorder_client, burst):
    photos, tiles = burst

    first = recorder_client.get(page("sort"))
    assert first.context["sorting"].photo == photos[1]
    assert first.context["sorting"].following == photos[2]
    assert [choice.label for choice in first.context["sorting"].choices] == [
        tile.label for tile in tiles[1:4]
    ]

    sent = {"number": tiles[1].label, "then": "sort", "following": photos[2].sha256}
    answer = recorder_client.post(page("file", photos[1].sha256), sent, headers=HTMX)

    assert answer.context["sorting"].photo == photos[2]
    assert answer.context["last"].tile == tiles[1]
    assert photos[1].filings.get().filed_how == FiledBy.HAND.value


def test_a_suggestion_taken_while_sorting_is_filed_by_order(recorder_client, burst):
    photos, tiles = burst
    sent = {"number": tiles[1].label, "then": "sort", "how": "order"}

    recorder_client.post(page("file", photos[1].sha256), sent, headers=HTMX)

    assert photos[1].filings.get().filed_how == FiledBy.ORDER.value


def test_without_scripts_sorting_goes_on_by_pages(recorder_client, burst):
    photos, tiles = burst
    sent = {"number": tiles[1].label, "then": "sort", "following": photos[2].sha256}

    answer = recorder_client.post(page("file", photos[1].sha256), sent, follow=True)

    assert answer.context["sorting"].photo == photos[2]
    assert b"<h1>Sort photos</h1>" in answer.content


@pytest.mark.parametrize("headers", [{}, HTMX])
def test_a_wrong_digit_while_sorting_keeps_photo_and_number(recorder_client, burst, headers):
    photos, _ = burst
    sent = {"number": "1042-8", "then": "sort", "following": photos[3].sha256}

    answer = recorder_client.post(page("file", photos[2].sha256), sent, headers=headers)

    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert answer.context["sorting"].photo == photos[2]
    assert 'value="1042-8"' in answer.content.decode()
    assert "one digit is wrong" in answer.content.decode()


def test_undo_while_sorting_goes_back_to_the_photo_again_and_again(recorder_client, burst):
    photos, tiles = burst
    for photo, tile in zip(photos[1:3], tiles[1:3], strict=True):
        recorder_client.post(page("file", photo.sha256), {"number": tile.label, "then": "sort"}, headers=HTMX)

    for expected in (photos[2], photos[1]):
        last = recorder_client.get(page("sort")).context["last"]
        answer = recorder_client.post(page("unfile", last.pk), {"then": "sort"}, headers=HTMX)
        assert answer.context["sorting"].photo == expected


def test_skipping_comes_round_to_the_first_again(recorder_client, burst):
    photos, _ = burst

    answer = recorder_client.get(f"{page('sort')}?photo={photos[3].sha256}")

    assert answer.context["sorting"].photo == photos[3]
    assert answer.context["sorting"].following == photos[1]


def test_an_empty_tray_ends_the_sorting(recorder_client):
    assert "The tray is empty" in recorder_client.get(page("sort")).content.decode()


def test_who_may_only_look_does_not_sort(viewer_client, burst):
    assert viewer_client.get(page("sort")).status_code == HTTPStatus.FORBIDDEN


def test_who_may_only_look_is_led_to_the_photo_not_to_sorting_it(viewer_client, burst, keeper):
    photos, _ = burst
    Photo.objects.filter(pk=photos[2].pk).update(stored_by=keeper)

    words = viewer_client.get(page("runs")).content.decode()

    assert "Nothing to suggest" in words
    assert page("sort") not in words
    assert f'href="/photos/{photos[2].sha256}/"' in words


# Several to one tile


def test_several_photos_are_filed_to_one_tile_and_undone_in_one_step(recorder_client):
    tile, photos = TileFactory(), [PhotoFactory() for _ in range(3)]
    sent = {"photo": [photo.sha256 for photo in photos[:2]], "number": tile.label}

    answer = recorder_client.post(page("together"), sent, follow=True)

    assert {filed.photo for filed in tile.photo_filings.all()} == set(photos[:2])
    undo(recorder_client, answer)
    assert tile.photo_filings.count() == 0
    assert Photo.objects.unfiled().count() == 3


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"number": "1042-8"}, "one digit is wrong"),
        ({"number": ""}, "Type the number"),
        ({"number": "1042-9", "photo": []}, "Choose the photos first"),
        ({"number": "1042-9", "photo": ["gone", "\0"]}, "None of these photos"),
    ],
)
def test_what_is_wrong_is_said_and_the_ticks_stay(recorder_client, sent, words):
    TileFactory(number=1042)
    photo = PhotoFactory()

    answer = recorder_client.post(page("together"), {"photo": [photo.sha256], **sent})

    content = answer.content.decode()
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert words in content
    assert not PhotoFiling.objects.exists()
    if "photo" not in sent:
        assert content.count("checked") == 1
        assert f'value="{sent["number"]}"' in content


@pytest.mark.parametrize("these", ["", "x", "1,2,3", "9" * 40, "²"])
@pytest.mark.parametrize("name", ["unfile_together", "refile_together"])
def test_an_undo_of_what_is_gone_does_nothing(recorder_client, name, these):
    assert recorder_client.post(f"{page(name)}?these={these}").status_code == HTTPStatus.FOUND


@pytest.mark.parametrize("name", ["together", "accept", "unfile_together", "refile_together"])
def test_a_viewer_changes_nothing(viewer_client, name):
    assert (
        viewer_client.post(page(name), {"photo": ["a"], "number": "1042-9"}).status_code
        == HTTPStatus.FORBIDDEN
    )


# The phone's question


def test_the_phone_is_told_how_far_its_photos_have_come(viewer_client):
    filed = PhotoFilingFactory()
    waiting = PhotoFactory(tray_reason="No tile code in view.", looked_at=NOON)
    unseen = PhotoFactory()
    names = ",".join(photo.sha256 for photo in (filed.photo, waiting, unseen))

    told = viewer_client.get(f"{page('states')}?photos={names},nonsense,%00").json()

    assert told == {
        filed.photo.sha256: {"state": "filed", "tile": filed.tile.label},
        waiting.sha256: {"state": "tray", "reason": "No tile code in view."},
        unseen.sha256: {"state": "stored"},
    }


def test_a_photo_filed_by_another_meanwhile_says_where_it_is_too(recorder_client, keeper_client):
    """Two people at one tray: neither page knows of the other's, and one of the two numbers may be wrong."""
    photo, mine, theirs = PhotoFactory(), TileFactory(), TileFactory()
    keeper_client.post(page("file", photo.sha256), {"number": theirs.label, "then": "sort"})

    sent = {"number": mine.label, "then": "sort"}
    answer = recorder_client.post(page("file", photo.sha256), sent, follow=True)

    (said, *_) = answer.context["messages"]
    assert str(said) == f"The photo is kept with tile {mine.label}. It is on {theirs.label} too."


# Of which firing, and for whom


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_who_brings_photos_in_at_the_tray_can_say_of_which_firing_and_gets_its_tiles(
    open_page, recorder, next_firing
):
    firing = next_firing[0].firing
    tray = open_page(f"{page('tray')}?firing={firing.number}", recorder, width=390)
    choice = tray.get_by_label("Of which firing, if you know")
    expect(choice).to_have_value(str(firing.number))
    photo = {"name": "IMG_1.jpg", "mimeType": "image/jpeg", "buffer": corpus.noisy_jpeg(64, 48)}
    tray.locator(".camera-take:not(.camera-folder) input[type=file]").set_input_files(photo)
    expect(tray.locator(".camera-photo[data-state=tray], [data-waiting-photo]").first).to_be_attached()
    tray.goto(page("sort"))

    expect(tray.locator("#sorting")).to_contain_text(firing.label)
    expect(tray.locator("#sorting")).to_contain_text(next_firing[0].tile.label)


def test_no_firing_need_be_said(recorder_client, next_firing):
    words = recorder_client.get(page("tray")).content.decode()

    assert next_firing[0].firing.label in words
    assert "selected" not in words.split('name="firing"')[1].split("</select>")[0]


def test_who_may_not_file_sees_what_is_suggested_without_ticks(viewer_client, recorder_client, burst):
    for client, ticks in ((viewer_client, 0), (recorder_client, 3)):
        words = client.get(page("runs")).content.decode()

        assert burst[1][1].label in words
        assert words.count('name="take"') == ticks

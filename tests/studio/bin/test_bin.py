"""Into the bin, out of it, and gone after 30 days."""

from datetime import UTC, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from studio.bin.queries import in_bin
from studio.bin.services import empty_bin
from tests.counting import queries_of
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    PhotoFactory,
    PhotoFilingFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import ClayBody, Glaze, Outcome, Photo, Tile
from tiles.photos.services import photo_store

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


def thrown_away(record, *, days_ago: float, by=None):
    record.binned_at, record.binned_by = NOW - timedelta(days=days_ago), by
    record.save()
    return record


def test_a_tile_goes_to_the_bin_and_comes_back_from_the_message(recorder_client: Client, recorder):
    tile = TileFactory()
    answer = recorder_client.post(f"/history/tiles/tile/{tile.pk}/bin/", {"next": "/tiles/"}, follow=True)
    (message,) = answer.context["messages"]

    assert answer.redirect_chain[-1][0] == "/tiles/"
    assert str(message) == f"Tile {tile} is in the bin."
    assert not Tile.objects.exists()
    assert Tile.everything.get().binned_by == recorder

    recorder_client.post(message.extra_tags)
    assert Tile.objects.get() == tile


def test_a_viewer_throws_nothing_away(viewer_client: Client):
    tile = TileFactory()
    answer = viewer_client.post(f"/history/tiles/tile/{tile.pk}/bin/")

    assert answer.status_code == 403
    assert Tile.objects.get() == tile


def test_throwing_away_twice_keeps_the_first_moment(recorder_client: Client):
    tile = thrown_away(TileFactory(), days_ago=3)
    recorder_client.post(f"/history/tiles/tile/{tile.pk}/bin/")

    assert Tile.everything.get().binned_at == NOW - timedelta(days=3)


def test_the_bin_says_what_who_and_how_long(recorder_client: Client, keeper):
    glaze = GlazeFactory(name="Harbour")
    glaze.put_in_bin(by=keeper)
    page = recorder_client.get("/history/bin/").content.decode()

    assert "Harbour" in page
    assert str(keeper) in page
    assert ">30 days<" in page


@pytest.mark.parametrize(("days_ago", "left"), [(0.5, 30), (1.5, 29), (29.5, 1), (31, 0)])
def test_a_day_that_has_begun_counts_as_left(recorder, days_ago, left):
    thrown_away(GlazeFactory(), days_ago=days_ago)

    assert [one.days_left for one in in_bin(recorder, NOW)] == [left]


def test_an_empty_bin_says_what_it_is_for(recorder_client: Client):
    assert "30 days" in recorder_client.get("/history/bin/").content.decode()


def test_the_bin_takes_no_more_queries_for_more_records(recorder_client: Client):
    for _ in range(2):
        outcome = fired_outcomes(
            glaze_tile(TileFactory(), (GlazeFactory(), {"back": 1})), FiringFactory(fired=True)
        )[0]
        outcome.put_in_bin(by=None)
    few = queries_of(recorder_client, "/history/bin/")
    for _ in range(6):
        outcome = fired_outcomes(
            glaze_tile(TileFactory(), (GlazeFactory(), {"back": 1})), FiringFactory(fired=True)
        )[0]
        outcome.put_in_bin(by=None)
        TileFactory().put_in_bin(by=None)

    assert queries_of(recorder_client, "/history/bin/") == few


def test_a_name_taken_meanwhile_is_answered_in_words(recorder_client: Client):
    old = GlazeFactory(name="Harbour")
    old.put_in_bin(by=None)
    GlazeFactory(name="harbour")
    answer = recorder_client.post(f"/history/tiles/glaze/{old.pk}/unbin/", follow=True)

    assert "There is another glaze called Harbour now" in answer.content.decode()
    assert Glaze.everything.get(pk=old.pk).is_binned


def test_what_lay_there_for_30_days_is_gone_and_what_did_not_stays():
    thrown_away(TileFactory(), days_ago=30.1)
    newer, used = thrown_away(TileFactory(), days_ago=29.9), TileFactory()

    emptied = empty_bin(NOW)

    assert emptied.gone == {"tile": 1}
    assert set(Tile.everything.all()) == {newer, used}


def test_what_others_need_stays_and_is_named():
    body = thrown_away(ClayBodyFactory(name="Dune"), days_ago=40)
    TileFactory(body=body)

    emptied = empty_bin(NOW)

    assert emptied.still_needed == ["clay body Dune"]
    assert ClayBody.everything.get(pk=body.pk)


def test_a_tile_and_its_series_go_on_the_same_day():
    series = thrown_away(SeriesFactory(), days_ago=40)
    thrown_away(TileFactory(series=series), days_ago=40)

    emptied = empty_bin(NOW)

    assert emptied.gone == {"tile": 1, "series": 1}
    assert emptied.still_needed == []


def test_a_tile_goes_with_all_that_was_only_about_it():
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1}))
    fired_outcomes(tile, FiringFactory(fired=True))
    thrown_away(tile, days_ago=40)

    empty_bin(NOW)

    assert not Outcome.everything.exists()


def test_photos_of_a_tile_that_is_gone_wait_in_the_tray():
    gone, other = thrown_away(TileFactory(), days_ago=40), TileFactory()
    alone, shared = PhotoFactory(), PhotoFactory()
    for photo, tile in ((alone, gone), (shared, gone), (shared, other)):
        PhotoFilingFactory(photo=photo, tile=tile)

    empty_bin(NOW)

    assert list(Photo.objects.unfiled()) == [alone]
    assert Photo.objects.get(pk=alone.pk).tray_reason == "The tile it showed is gone for good."
    assert Photo.objects.get(pk=shared.pk).tray_reason == ""


def test_a_photo_goes_with_its_file(django_capture_on_commit_callbacks):
    photo = thrown_away(PhotoFactory(format="JPEG"), days_ago=40)
    original = photo_store().original(photo.sha256, "jpg")
    original.parent.mkdir(parents=True)
    original.write_bytes(b"a picture")

    with django_capture_on_commit_callbacks() as callbacks:
        empty_bin(NOW)
    assert original.exists()
    assert not Photo.everything.exists()

    for callback in callbacks:
        callback()
    assert not original.exists()


def test_the_command_says_what_is_gone():
    tile = TileFactory()
    tile.binned_at = timezone.now() - timedelta(days=31)
    tile.save()
    said = StringIO()

    call_command("empty_bin", stdout=said)

    assert said.getvalue() == "Gone for good: 1 tile.\n"


def test_the_command_says_when_there_is_nothing():
    said = StringIO()

    call_command("empty_bin", stdout=said)

    assert "Nothing has been in the bin for 30 days." in said.getvalue()

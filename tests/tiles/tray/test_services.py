"""Photos are tied to the tile they show, after the firing they show, or wait in the tray with the reason."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import DatabaseError

from firings.vocabulary import FiringState
from tests.factories import FiringFactory, PhotoFactory, PlacementFactory, TileFactory
from tests.tiles.photos import corpus
from tests.tiles.photos.test_services import showing, taken
from tiles import numbers
from tiles.models import Photo, PhotoFiling
from tiles.photos.codes import Region, TileCode
from tiles.tray import services
from tiles.vocabulary import FiledBy

pytestmark = pytest.mark.django_db

FIRED_ON = datetime(2026, 10, 14, 7, 0, tzinfo=UTC)


def test_the_only_code_in_view_files_the_photo_to_its_tile(stored):
    tile = TileFactory(number=1042)

    photo = stored(showing("1042-9"))

    (filed,) = photo.filings.all()
    assert filed.tile == tile
    assert filed.filed_how == FiledBy.CODE.value
    assert filed.region is None


def test_without_a_code_it_waits_in_the_tray_with_the_reason(stored):
    photo = stored(corpus.jpeg())

    assert photo.tray_reason == "No tile code in view."
    assert list(Photo.objects.unfiled()) == [photo]


def looked_at(photo: Photo, *codes: TileCode) -> Photo:
    """The photo, when these codes were found in it."""
    photo.look = {"codes": [code.as_json() for code in codes]}
    photo.save(update_fields=["look"])
    return photo


LEFT, RIGHT = Region(0.1, 0.4, 0.1, 0.1), Region(0.8, 0.4, 0.1, 0.1)


def test_two_tiles_in_view_share_the_photo(stored, recorder):
    one, other = TileFactory(), TileFactory()
    photo = looked_at(
        PhotoFactory(stored_by=recorder), TileCode(one.number, LEFT), TileCode(other.number, RIGHT)
    )

    services.file_what_is_in_view(photo)

    assert {filed.tile: filed.region for filed in photo.filings.all()} == {
        one: [0, 0, 0.5, 1],
        other: [0.5, 0, 0.5, 1],
    }
    assert {filed.filed_by for filed in photo.filings.all()} == {recorder}


def test_looking_twice_files_once():
    tile = TileFactory()
    photo = looked_at(PhotoFactory(), TileCode(tile.number, LEFT))

    assert len(services.file_what_is_in_view(photo)) == 1
    assert services.file_what_is_in_view(photo) == []
    assert photo.filings.count() == 1


def test_what_a_person_said_stands_against_the_code_in_view(recorder):
    tile, other = TileFactory(), TileFactory()
    photo = looked_at(PhotoFactory(), TileCode(other.number, LEFT))
    services.file_photo(photo, tile, by=recorder)

    services.file_what_is_in_view(photo)

    assert photo.filings.get().tile == tile


def test_a_photo_taken_off_its_tile_is_not_filed_again_by_looking(recorder):
    tile = TileFactory()
    photo = looked_at(PhotoFactory(), TileCode(tile.number, LEFT))
    (filed,) = services.file_what_is_in_view(photo)
    services.unfile_photo(filed, by=recorder)

    services.file_what_is_in_view(photo)

    assert not photo.filings.exists()
    assert "Taken off" in photo.tray_reason


def test_the_reason_it_was_sent_with_is_not_written_over():
    photo = looked_at(PhotoFactory(tray_reason="It was sent with a tile, but: no such tile."))

    services.file_what_is_in_view(photo)

    photo.refresh_from_db()
    assert photo.tray_reason.startswith("It was sent with a tile")


def test_a_code_of_a_tile_we_do_not_have_is_named_in_the_tray(stored):
    photo = stored(showing("1042-9"))

    assert "1042-9" in photo.tray_reason
    assert not photo.filings.exists()


def fired_at(tile, started_at, state=FiringState.FIRED):
    return PlacementFactory(tile=tile, firing=FiringFactory(state=state.value, started_at=started_at))


def test_a_photo_shows_the_tile_after_its_only_firing(stored):
    placement = PlacementFactory(firing=FiringFactory(fired=True))

    photo = stored(corpus.jpeg(), tile=placement.tile)

    assert photo.filings.get().placement == placement


def test_a_refired_tile_is_shown_after_the_last_firing_before_the_photo(stored):
    tile = TileFactory()
    first = fired_at(tile, FIRED_ON)
    fired_at(tile, FIRED_ON + timedelta(days=14))

    between = stored(taken("2026:10:20 12:00:00"), tile=tile)

    assert between.filings.get().placement == first


def test_without_the_cameras_clock_a_refired_tile_leaves_the_firing_open(stored):
    tile = TileFactory()
    fired_at(tile, FIRED_ON)
    fired_at(tile, FIRED_ON + timedelta(days=14))

    assert stored(corpus.jpeg(), tile=tile).filings.get().placement is None


@pytest.mark.parametrize("state", [FiringState.PLANNED, FiringState.LOADED])
def test_a_photo_before_the_fire_shows_no_firing(stored, state):
    tile = TileFactory()
    fired_at(tile, None, state)

    assert stored(corpus.jpeg(), tile=tile).filings.get().placement is None


def test_a_photo_taken_before_the_firing_does_not_show_its_result(stored):
    tile = TileFactory()
    fired_at(tile, FIRED_ON)

    assert stored(taken("2026:10:01 12:00:00"), tile=tile).filings.get().placement is None


def test_a_filing_learns_its_firing_later(stored):
    tile = TileFactory()
    fired_at(tile, FIRED_ON)
    second = fired_at(tile, FIRED_ON + timedelta(days=14))
    stored(corpus.jpeg(), tile=tile)

    photo = stored(corpus.jpeg(), placement=second)

    assert photo.filings.get().placement == second


def test_a_typed_number_files_the_photo(stored, recorder):
    tile = TileFactory(number=1042)

    filed = services.file_by_number(stored(), "1042 9", by=recorder)

    assert filed.tile == tile
    assert filed.filed_by == recorder
    assert not Photo.objects.unfiled().exists()


@pytest.mark.parametrize(("typed", "words"), [("1042-8", "wrong"), ("1042-9", "no tile"), ("tile", "digits")])
def test_a_number_that_leads_to_no_tile_is_refused_with_words(stored, recorder, typed, words):
    with pytest.raises(ValueError, match=words):
        services.file_by_number(stored(), typed, by=recorder)

    assert not PhotoFiling.objects.exists()


def test_a_photo_taken_off_its_tile_is_back_in_the_tray_with_who_did_it(stored, recorder):
    tile = TileFactory()
    photo = stored(corpus.jpeg(), tile=tile)

    services.unfile_photo(photo.filings.get(), by=recorder)

    photo.refresh_from_db()
    assert tile.label in photo.tray_reason
    assert "Rowan Reed" in photo.tray_reason
    assert list(Photo.objects.unfiled()) == [photo]


def test_taking_a_photo_off_is_undone_as_it_was(stored, recorder):
    placement = PlacementFactory(firing=FiringFactory(fired=True))
    zone = placement.tile.zones.first()
    photo = stored(corpus.jpeg(), placement=placement, zone=zone)

    undo = services.unfile_photo(photo.filings.get(), by=recorder)
    services.refile_photo(undo, by=recorder)

    filed = photo.filings.get()
    assert (filed.placement, filed.zone, filed.filed_how) == (placement, zone, FiledBy.UNLOADING.value)


def test_filing_is_all_or_nothing(stored, recorder, monkeypatch):
    photo, tile = stored(), TileFactory()
    monkeypatch.setattr(PhotoFiling, "save", lambda *_, **__: (_ for _ in ()).throw(DatabaseError))

    with pytest.raises(DatabaseError):
        services.file_photo(photo, tile, by=recorder)

    assert not photo.filings.exists()


def test_every_way_a_tile_number_is_typed_files_the_photo(stored, recorder):
    tile = TileFactory()

    for typed in (tile.label, tile.label.replace("-", ""), f"#{tile.label}", tile.label.replace("-", " ")):
        assert services.file_by_number(stored(), typed, by=recorder).tile == tile
    assert numbers.read(tile.label) == tile.number

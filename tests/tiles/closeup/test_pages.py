"""Pieces over HTTP with their bounds, and a run measured, kept and taken back."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from firings.vocabulary import FiringState
from studio.models import StudioPreferences
from tests.counting import queries_of
from tests.factories import FiringFactory, PhotoFilingFactory, TileFactory, fired_outcomes, glaze_tile
from tiles.models import Outcome, RunReading
from tiles.unloading.queries import start_of

pytestmark = pytest.mark.django_db

# 1,200 px of the photo apart along the tile's edge of 70 mm, 100 px along the run.
EDGE = "0.25,0.5,0.75,0.5"
LINE = f"0.5,0.5,0.5,{0.5 + 100 / 800}"
BY_TILE = {"basis": "tile", "line": LINE, "edge": EDGE, "edge_length": "60", "step_px": "1"}


def piece_of(photo, level=0, column=0, row=0):
    return f"/photos/{photo.sha256}/pieces/{level}/{column}-{row}.jpg"


def run_of(photo, outcome):
    return reverse("tiles:closeup:run", args=[photo.sha256, outcome.pk])


class TestPieces:
    def test_a_piece_is_a_picture_that_is_kept_for_a_year_by_this_browser_alone(self, viewer_client, photo):
        answer = viewer_client.get(piece_of(photo))

        assert answer.headers["Content-Type"] == "image/jpeg"
        assert answer.headers["Cache-Control"] == "private, max-age=31536000, immutable"
        assert b"".join(answer).startswith(b"\xff\xd8")

    def test_one_decoding_cuts_the_whole_level(self, viewer_client, photo, photo_store):
        viewer_client.get(piece_of(photo, column=3, row=1))

        assert len(list(photo_store.rglob("*.piece-0-*.jpg"))) == 4 * 2

    @pytest.mark.parametrize(
        "place", [(0, 4, 0), (0, 0, 2), (1, 0, 0), (9, 0, 0), (0, 10**30, 0), (10**30, 0, 0)]
    )
    def test_there_is_nothing_beyond_the_photo(self, viewer_client, photo, photo_store, place):
        assert viewer_client.get(piece_of(photo, *place)).status_code == 404
        assert list(photo_store.rglob("*.piece-*")) == []

    def test_a_small_photo_has_no_pieces(self, viewer_client, stored):
        photo = stored()

        assert viewer_client.get(piece_of(photo)).status_code == 404
        assert viewer_client.get(f"/photos/{photo.sha256}/pieces/").json()["levels"] == []

    def test_pieces_go_with_the_photo_when_its_cache_is_emptied(self, viewer_client, photo, photo_store):
        viewer_client.get(piece_of(photo))
        for cached in (photo_store / "renditions").rglob("*.jpg"):
            cached.unlink()

        assert viewer_client.get(piece_of(photo)).status_code == 200

    def test_a_photo_whose_file_is_gone_is_not_found(self, viewer_client, photo, files_kept):
        for file in files_kept():
            file.unlink()

        assert viewer_client.get(piece_of(photo)).status_code == 404
        assert viewer_client.get(f"/photos/{photo.sha256}/pieces/").status_code == 404

    def test_only_who_may_see_photos_gets_pieces(self, photo, stranger):
        assert Client().get(piece_of(photo)).status_code == 302
        client = Client()
        client.force_login(stranger)
        assert client.get(piece_of(photo)).status_code == 403

    def test_the_scale_is_told_where_the_mat_is_in_view(self, viewer_client, photo, mat_photo):
        without = viewer_client.get(f"/photos/{photo.sha256}/pieces/").json()
        told = viewer_client.get(f"/photos/{mat_photo.sha256}/pieces/").json()

        assert without["px_per_mm"] is None
        # The sheet of 297 mm fills 0.9 of 2,000 px.
        assert told["px_per_mm"] == pytest.approx(0.9 * 2000 / 297, rel=0.05)


def test_a_photo_of_several_tiles_opens_at_this_tiles_part(viewer_client, stored, outcome):
    photo = stored()
    PhotoFilingFactory(photo=photo, tile=outcome.tile, placement=outcome.placement, region=[0.5, 0, 0.5, 1])
    page = viewer_client.get(outcome.tile.get_absolute_url()).content.decode()

    assert 'data-home="0.5 0 0.5 1" data-size="32 48"' in page


class TestMeasuring:
    def test_a_run_is_kept_on_the_photo_and_on_the_outcome(self, recorder_client, photo, outcome, recorder):
        answer = recorder_client.post(run_of(photo, outcome), BY_TILE, follow=True)

        # 60 mm over 1,200 px: 100 px are 5 mm
        reading = RunReading.objects.get()
        outcome.refresh_from_db()
        assert reading.run_mm == outcome.run_mm == Decimal("5.0")
        assert reading.scale_basis == "tile"
        assert reading.plus_minus_mm > 0
        assert reading.read_by == outcome.history.first().history_user == recorder
        assert "run 5\xa0mm, give or take" in answer.content.decode()

    def test_a_run_alone_is_no_judgement(self, recorder_client, photo, outcome):
        recorder_client.post(run_of(photo, outcome), BY_TILE)
        outcome.refresh_from_db()

        assert outcome.judged_at is None

    def test_a_judged_zone_counts_as_judged_again(self, recorder_client, photo, outcome, recorder):
        before = timezone.now()
        Outcome.objects.filter(pk=outcome.pk).update(judged_at=before)
        recorder_client.post(run_of(photo, outcome), BY_TILE)
        outcome.refresh_from_db()

        assert outcome.judged_at > before
        assert outcome.judged_by == recorder

    def test_judging_later_starts_from_the_measured_run(self, recorder_client, photo, outcome):
        recorder_client.post(run_of(photo, outcome), BY_TILE)
        outcome.refresh_from_db()

        assert start_of(outcome).run_mm == Decimal("5.0")

    def test_undo_brings_back_what_stood_there(self, recorder_client, photo, outcome):
        recorder_client.post(run_of(photo, outcome), BY_TILE)
        shown = recorder_client.post(
            run_of(photo, outcome), BY_TILE | {"runs_off": "on", "edge_length": "66"}, follow=True
        )
        undo = list(shown.context["messages"])[-1].extra_tags
        outcome.refresh_from_db()
        assert (outcome.run_mm, outcome.runs_off) == (Decimal("5.5"), True)
        recorder_client.post(undo)

        outcome.refresh_from_db()
        assert (outcome.run_mm, outcome.runs_off) == (Decimal("5.0"), False)
        assert RunReading.objects.get().run_mm == Decimal("5.0")

    def test_undo_of_the_first_leaves_nothing_behind(self, recorder_client, photo, outcome):
        shown = recorder_client.post(run_of(photo, outcome), BY_TILE, follow=True)
        [undo] = [message.extra_tags for message in shown.context["messages"]]
        recorder_client.post(undo)

        outcome.refresh_from_db()
        assert outcome.run_mm is None
        assert not RunReading.objects.exists()

    def test_undo_refuses_once_the_zone_was_judged_again(self, recorder_client, photo, outcome):
        shown = recorder_client.post(run_of(photo, outcome), BY_TILE, follow=True)
        [undo] = [message.extra_tags for message in shown.context["messages"]]
        outcome.refresh_from_db()
        outcome.run_mm = Decimal(2)
        outcome.save()

        answer = recorder_client.post(undo, follow=True)
        outcome.refresh_from_db()
        assert "changed again since" in answer.content.decode()
        assert outcome.run_mm == Decimal(2)

    def test_on_the_mat_the_scale_needs_no_marks(self, recorder_client, mat_photo, outcome):
        answer = recorder_client.post(
            run_of(mat_photo, outcome), {"basis": "mat", "line": "0.4,0.4,0.4,0.45"}
        )

        assert answer.status_code == 302
        assert RunReading.objects.get().scale_basis == "mat"

    def test_a_studio_that_prefers_inches_types_and_reads_inches(self, recorder_client, photo, outcome):
        StudioPreferences.objects.update_or_create(defaults={"length_unit": "in"})
        answer = recorder_client.post(
            run_of(photo, outcome), BY_TILE | {"edge_length": "2.3622"}, follow=True
        )

        assert RunReading.objects.get().run_mm == Decimal("5.0")
        assert "run 0.20\xa0in" in answer.content.decode()

    @pytest.mark.parametrize(
        ("changed", "words"),
        [
            ({"line": ""}, "Drag the two marks first"),
            ({"line": "0.5,0.5"}, "Drag the two marks first"),
            ({"line": "nan,0.5,0.5,0.5"}, "Both marks must lie on the photo"),
            ({"line": "0.5,0.5,0.5,7"}, "Both marks must lie on the photo"),
            ({"edge": ""}, "Drag the two square marks to the tile’s edges"),
            ({"edge": "0.5,0.5,0.5,0.5"}, "Drag the two marks to the tile’s edges first"),
            ({"edge_length": "broad"}, "broad"),
            ({"edge_length": "9000"}, "between 1 mm and 1 m"),
            ({"line": "0,0,1,1", "edge": "0.5,0.5,0.51,0.5", "edge_length": "900"}, "longer than any tile"),
            ({"basis": "mat"}, "mat"),
            ({"basis": "guess"}, "guess"),
        ],
    )
    def test_bad_marks_are_answered_in_words_and_keep_nothing(
        self, recorder_client, photo, outcome, changed, words
    ):
        answer = recorder_client.post(run_of(photo, outcome), BY_TILE | changed)

        assert answer.status_code == 422
        assert words in answer.content.decode()
        assert not RunReading.objects.exists()

    def test_the_length_is_told_without_keeping_it(self, recorder_client, photo, outcome):
        answer = recorder_client.get(f"{run_of(photo, outcome)}length/", BY_TILE)

        assert "run 5\xa0mm, give or take" in answer.content.decode()
        assert not RunReading.objects.exists()
        assert recorder_client.get(f"{run_of(photo, outcome)}length/").status_code == 422

    def test_before_the_fire_nothing_is_measured(self, recorder_client, photo, outcome):
        outcome.firing.state = FiringState.LOADED.value
        outcome.firing.save()

        assert recorder_client.post(run_of(photo, outcome), BY_TILE).status_code == 422
        assert not RunReading.objects.exists()

    def test_a_zone_is_measured_only_on_photos_of_its_tile(self, recorder_client, stored, outcome):
        assert recorder_client.get(run_of(stored(), outcome)).status_code == 404

    def test_a_viewer_measures_nothing(self, viewer_client, photo, outcome):
        assert viewer_client.get(run_of(photo, outcome)).status_code == 403
        assert "Measure a run" not in viewer_client.get(f"/photos/{photo.sha256}/").content.decode()

    def test_measuring_from_a_tile_opens_its_photo_or_says_there_is_none(
        self, recorder_client, outcome, stored
    ):
        address = reverse("tiles:closeup:run_of", args=[outcome.pk])
        assert "No photo of it yet" in recorder_client.get(address).content.decode()
        photo = stored(placement=outcome.placement)

        assert recorder_client.get(address).headers["Location"] == run_of(photo, outcome)

    def test_the_pages_ask_as_much_of_the_database_however_many_zones_there_are(
        self, recorder_client, photo, outcome
    ):
        pages = (run_of(photo, outcome), f"/photos/{photo.sha256}/")
        for page in pages:
            recorder_client.get(page)  # what a process asks only once is known after this
        before = [queries_of(recorder_client, page) for page in pages]
        glaze = outcome.tile.layers.get().glaze
        for _ in range(3):
            tile = glaze_tile(TileFactory(), (glaze, {"band 1": 1, "band 2": 2, "back": 3}))
            fired_outcomes(tile, FiringFactory(fired=True))
            PhotoFilingFactory(photo=photo, tile=tile)

        assert [queries_of(recorder_client, page) for page in pages] == before

"""What `manage.py demo` promises."""

import re
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from firings.kilns.queries import knowledge_of
from firings.logbook.queries import agreement_of
from firings.models import Firing, Kiln, WitnessCone
from firings.vocabulary import FiringState
from studio.demo.services import InTheWay, load_demo
from studio.models import Person, StudioPreferences
from tests.factories import GlazeFactory, TileFactory
from tiles.models import (
    AbsorptionTest,
    Board,
    BoardSlot,
    Flaw,
    LeachReport,
    Outcome,
    Photo,
    Place,
    Placement,
    Tile,
)
from tiles.photos.services import original_path

TODAY = date(2026, 11, 25)
ONE_IN = 20


@pytest.fixture
def small_demo(db: None) -> None:
    """One tile in twenty, drawn in this process."""
    load_demo(today=TODAY, every=ONE_IN, processes=0)


def test_copied_conditions_are_true(small_demo):
    answer = StringIO()
    call_command("check_conditions", stdout=answer)

    assert f"All {Outcome.everything.count()} copies" in answer.getvalue()


def test_every_tile_has_its_layers_firings_and_photos(small_demo):
    tile = Tile.objects.filter(placements__firing__state=FiringState.UNLOADED).first()

    assert tile.layers.exists()
    assert tile.bisque_firing is not None
    assert tile.series.question
    assert tile.photo_filings.filter(placement__tile=tile).exists()


def test_photos_lie_in_the_real_store(small_demo, photo_store: Path):
    assert (
        Photo.objects.count() >= Tile.objects.filter(placements__firing__state="unloaded").distinct().count()
    )
    assert all(original_path(photo).is_relative_to(photo_store) for photo in Photo.objects.all())
    assert all(original_path(photo).exists() for photo in Photo.objects.all())
    assert all(photo.taken_at.date() < TODAY for photo in Photo.objects.all())


def test_firings_reached_a_cone_by_the_evidence_they_have(small_demo):
    sources = set(Firing.objects.exclude(reached_source="").values_list("reached_source", flat=True))

    assert sources == {"witness", "controller", "target"}
    assert WitnessCone.objects.filter(bend_deg=90).exists()
    assert Firing.objects.get(state="loaded").reached_number is None


def test_results_are_dated_and_signed(small_demo):
    judged = Outcome.objects.judged()

    assert judged.count() > 30
    assert all(outcome.judged_by and outcome.judged_at.date() <= TODAY for outcome in judged)
    assert all(outcome.history.first().history_date.date() <= TODAY for outcome in judged[:10])
    assert Flaw.objects.exists()


def test_a_studio_that_holds_one_of_its_tiles_is_left_alone(db):
    TileFactory(number=1001)

    with pytest.raises(InTheWay, match="tile 1001-9"):
        load_demo(today=TODAY, every=ONE_IN, processes=0)
    assert Tile.objects.count() == 1
    assert not Photo.objects.exists()


def test_a_name_in_the_bin_is_in_the_way_too(db, keeper):
    GlazeFactory(name="Harbour").put_in_bin(by=keeper)

    with pytest.raises(InTheWay, match="glaze Harbour"):
        load_demo(today=TODAY, every=ONE_IN, processes=0)


def test_a_studio_with_other_things_in_it_takes_the_demo_beside_them(db, recorder):
    TileFactory(number=42)
    load_demo(today=TODAY, every=60, processes=0)

    assert Tile.objects.filter(number__in=(42, 1001)).count() == 2
    assert Person.objects.filter(pk=recorder.pk).exists()


def test_the_command_says_in_one_line_why_it_refuses(db):
    TileFactory(number=1001)

    with pytest.raises(CommandError) as refused:
        call_command("demo", "--every", "60", "--processes", "0")
    assert "\n" not in str(refused.value)
    assert "TILEWRIGHT_DATA" in str(refused.value)


def test_a_failure_on_the_way_leaves_nothing_behind(db, monkeypatch):
    def full_disk(*args: object, **kwargs: object) -> None:
        raise OSError("No space left on device")

    monkeypatch.setattr("studio.demo.services.photos.store_photo", full_disk)
    with pytest.raises(OSError, match="No space"):
        load_demo(today=TODAY, every=60, processes=0)

    assert not Tile.everything.exists()
    assert not Person.objects.exists()


def test_the_studio_keeps_a_name_it_has(db):
    StudioPreferences.objects.create(studio_name="Mud and Fire")
    load_demo(today=TODAY, every=60, processes=0)

    assert StudioPreferences.objects.get().studio_name == "Mud and Fire"


@pytest.mark.slow
def test_the_whole_demo_studio(db):
    said: list[str] = []
    loaded = load_demo(today=TODAY, processes=2, say=said.append)
    answer = StringIO()
    call_command("check_conditions", stdout=answer)

    assert "copies of conditions are true" in answer.getvalue()
    assert loaded.tiles == Tile.objects.count() >= 150
    assert Firing.objects.filter(state__in=("fired", "unloaded")).count() >= 12
    assert Photo.objects.unfiled().count() == loaded.in_tray >= 4
    assert Outcome.objects.unjudged().filter(firing__state="fired").exists()
    assert Placement.objects.filter(sequence=2).count() >= 6
    assert Board.objects.get().slots.filter(tile__isnull=False).count() >= 20
    assert any("drawn" in words for words in said)


def test_a_kiln_s_aged_sensor_and_a_slipped_probe_are_told_of(small_demo):
    drifts = knowledge_of(Kiln.objects.get(name="Oriel")).drifts
    slipped = agreement_of(Firing.objects.get(number=9))

    assert [found.is_off for found in drifts] == [True]
    assert re.search(r"reads [789] °C low since June 2026 \(n [678],", drifts[0].words)
    assert any("curve" in words for words in slipped.disagreements)


def test_tiles_lie_in_boxes_the_next_load_is_drawn_and_ware_was_measured(small_demo):
    loaded = Placement.objects.filter(firing__state=FiringState.LOADED.value)

    assert Place.objects.count() == 3
    assert Tile.objects.filter(place__isnull=False).exists()
    assert not BoardSlot.objects.filter(tile__place__isnull=False).exists()
    assert not loaded.filter(x_mm__isnull=True).exists()
    assert AbsorptionTest.objects.filter(firing__isnull=False).exists()
    assert LeachReport.objects.count() == 2

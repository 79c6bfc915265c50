"""A clock that jumps: after a flat battery it goes back by years, set by hand it may leap ahead."""

import html
import re
from datetime import timedelta

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from studio.bin.services import empty_bin
from studio.doctor.queries import clock
from studio.history.services import restore
from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tests.tiles.catalogue.test_pages import GLAZE
from tiles.models import Glaze, Tile

pytestmark = pytest.mark.django_db


@pytest.fixture
def jump(monkeypatch):
    """Set the clock by so much."""
    present = timezone.now

    def by(how_far: timedelta) -> None:
        monkeypatch.setattr(timezone, "now", lambda: present() + how_far)

    return by


def edit_page(glaze):
    return reverse("tiles:catalogue:edit_glaze", args=[glaze.pk])


def test_undo_goes_back_one_step_after_the_clock_went_back_by_years(jump, recorder):
    glaze = GlazeFactory(name="Harbour")
    versions = []
    for note in ("first", "second", "third"):
        glaze.note = note
        glaze.save()
        versions.append(glaze.standing_version)
        jump(timedelta(days=-3650))

    assert versions == sorted(set(versions))
    restore(glaze, versions[1], by=recorder)
    assert Glaze.objects.get().note == "second"


def test_an_edit_made_after_the_clock_went_back_is_seen_and_undone_from_its_page(jump, recorder_client):
    glaze = GlazeFactory(note="as it was")
    jump(timedelta(days=-3650))

    page = recorder_client.post(
        edit_page(glaze), {**GLAZE, "note": "thinner than it was", "stamp": glaze.stamp}, follow=True
    )

    assert "thinner than it was" in page.content.decode()
    undo = re.search(r'<form action="([^"]*)" method="post">.*?>Undo<', page.content.decode(), re.DOTALL)
    page = recorder_client.post(html.unescape(undo[1]), follow=True)
    assert page.status_code == 200
    assert "thinner than it was" not in page.content.decode()
    assert Glaze.objects.get().note == "as it was"
    changes = recorder_client.get(f"/history/tiles/glaze/{glaze.pk}/").content.decode()
    assert "thinner than it was" in changes, "what was undone stands in its history"


def test_a_clock_that_leaps_ahead_asks_for_a_sign_in_and_leads_back(jump, recorder_client):
    """A sign-in ends after so many days; nobody is left before an error."""
    glaze = GlazeFactory(note="as it was")
    jump(timedelta(days=3650))

    answer = recorder_client.post(edit_page(glaze), {**GLAZE, "note": "changed", "stamp": glaze.stamp})

    assert answer.status_code == 302
    assert answer.url == f"/sign-in/?next={edit_page(glaze)}"
    assert Glaze.objects.get().note == "as it was"


def test_what_was_binned_lately_stays_when_the_clock_leaps_ahead_for_a_day(jump, recorder):
    """The daily emptying believes a clock only as far as somebody has worked since."""
    tile = TileFactory()
    tile.put_in_bin(by=recorder)
    jump(timedelta(days=3650))

    emptied = empty_bin(timezone.now())

    assert not emptied.gone
    assert Tile.everything.filter(pk=tile.pk).exists()


def test_the_bin_is_emptied_after_its_time_where_somebody_works(jump, recorder):
    tile = TileFactory()
    tile.put_in_bin(by=recorder)
    jump(timedelta(days=31))
    TileFactory(created_at=timezone.now())

    assert empty_bin(timezone.now()).gone == {"tile": 1}


def test_doctor_sees_records_that_are_yet_to_come(jump, recorder):
    fired_outcomes(glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2})), FiringFactory())
    jump(timedelta(days=-400))

    [found] = clock()

    assert "yet to come" in found.words
    assert "clock right" in found.advice


def test_conditions_are_true_whatever_the_clock_did(jump):
    jump(timedelta(days=-3650))
    fired_outcomes(glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2})), FiringFactory())

    call_command("check_conditions")

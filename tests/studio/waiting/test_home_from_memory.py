"""What the first page takes from memory is what the database says, after each change."""

import pytest
from django.utils import timezone

from studio.importing.services import take_in
from studio.importing.undoing import services as undoing
from studio.models import SpreadsheetImport
from studio.waiting import queries
from studio.waiting.past import queries as past_queries
from tests.factories import (
    FiringFactory,
    GlazeFactory,
    PhotoFactory,
    PhotoFilingFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.studio.waiting.test_past import LAST_YEAR
from tiles.columns.queries import forget
from tiles.models import Outcome, Photo, Tile

pytestmark = pytest.mark.django_db(transaction=True)


def seen():
    """Jobs and last results as one can compare them."""
    jobs = [(job.what, job.why, job.count, job.address) for job in queries.jobs()]
    return jobs, past_queries.brought_in(), [card.outcome.pk for card in queries.last_results()]


def seen_by_database(monkeypatch):
    with monkeypatch.context() as without:
        for module in (queries, past_queries):
            without.setattr(module, "standing", lambda: None)
        return seen()


def test_the_first_page_follows_what_is_brought_in_and_taken_back(monkeypatch, keeper):
    of_today = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    fired_outcomes(of_today, FiringFactory(fired=True))
    forget()
    found = [seen()]
    take_in(LAST_YEAR.encode(), "results", by=keeper, only_try=False)
    kept = SpreadsheetImport.objects.get()

    for change in (
        lambda: None,
        lambda: PhotoFilingFactory(photo=PhotoFactory(), tile=Tile.objects.exclude(pk=of_today.pk).first()),
        lambda: undoing.undo(kept, by=keeper),
    ):
        change()
        found.append(seen())
        assert found[-1] == seen_by_database(monkeypatch)
    assert len({str(one) for one in found}) == len(found)


def test_the_first_page_follows_each_change(monkeypatch):
    glaze, firing = GlazeFactory(), FiringFactory(fired=True)
    tiles = [glaze_tile(TileFactory(), (glaze, {"band 1": 2})) for _ in range(3)]
    for tile in tiles:
        fired_outcomes(tile, firing)
    forget()
    found = [seen()]
    assert found[-1] == seen_by_database(monkeypatch)

    def judge(tile):
        Outcome.objects.filter(tile=tile).update(judged_at=timezone.now(), surface="glossy")

    photo = PhotoFactory()
    for change in (
        lambda: judge(tiles[0]),
        lambda: PhotoFilingFactory(photo=photo, tile=tiles[0]),
        lambda: judge(tiles[1]),
        lambda: PhotoFilingFactory(photo=PhotoFactory(), tile=tiles[1]),
        lambda: Photo.objects.filter(pk=photo.pk).update(binned_at=timezone.now()),
        lambda: judge(tiles[2]),
    ):
        change()
        found.append(seen())
        assert found[-1] == seen_by_database(monkeypatch)
    assert len({str(one) for one in found}) == len(found)

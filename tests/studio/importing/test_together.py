"""Imports beside other work: what is held in memory follows, two at once make nothing twice, on both databases."""

import threading

import pytest
from django.db import connection

from studio.importing import services
from studio.importing.undoing import services as undoing
from studio.models import SpreadsheetImport
from studio.people.services import add_person
from studio.roles import Role
from tests.factories import GlazeFactory, PhotoFactory, PhotoFilingFactory
from tiles.columns import queries
from tiles.columns.services import watch_writes
from tiles.models import Glaze, Outcome, Tile

pytestmark = pytest.mark.django_db(transaction=True)

ROWS = "tile,body,glaze,coats,date,kiln,cone\n" + "".join(
    f"{n},Dune,Harbour,{n % 4 + 1},2025-01-02,Oriel,6\n" for n in range(40)
)


def held() -> int:
    standing = queries.standing()
    assert standing is not None
    return len(standing.rows.keys)


@pytest.mark.parametrize("many", [1, 5_000], ids=["triggers off", "triggers on"])
def test_results_in_memory_follow_an_import_its_undo_and_its_return(monkeypatch, many):
    for module in (services, undoing):
        monkeypatch.setattr(module, "MANY_ROWS", many)
    watch_writes()
    keeper = add_person("Kit Kerr", Role.KEEPER)
    assert held() == 0
    of = services.keep(services.receive(ROWS.encode(), "list.csv", "results", by=keeper), by=keeper)
    assert held() == 40

    undoing.undo(of, by=keeper)
    assert held() == 0
    undoing.put_back(of, by=keeper)
    assert held() == 40

    Outcome.objects.first().delete()
    assert held() == 39


def test_the_same_file_kept_twice_at_once_makes_nothing_twice():
    keeper = add_person("Kit Kerr", Role.KEEPER)
    both = [services.receive(ROWS.encode(), "list.csv", "results", by=keeper) for _ in range(2)]
    troubles = []

    def keep(of: SpreadsheetImport) -> None:
        try:
            services.keep(of, by=keeper)
        except Exception as trouble:
            troubles.append(trouble)
        finally:
            connection.close()

    threads = [threading.Thread(target=keep, args=[of]) for of in both]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert troubles == []
    assert Tile.objects.count() == 40
    assert Glaze.objects.count() == 1
    assert [of.state for of in SpreadsheetImport.objects.all()] == ["kept", "kept"]


def test_what_breaks_in_the_midst_leaves_nothing(monkeypatch):
    keeper = add_person("Kit Kerr", Role.KEEPER)
    of = services.receive(ROWS.encode(), "list.csv", "results", by=keeper)

    def fail(*_, **__):
        raise OSError("disk full")

    monkeypatch.setattr("tiles.conditions.services.rows.note", fail)
    with pytest.raises(OSError, match="disk full"):
        services.keep(of, by=keeper)
    of.refresh_from_db()
    assert of.state == "open"
    assert not Tile.objects.exists()
    assert not Glaze.objects.exists()


def test_a_tile_that_was_photographed_since_stays():
    keeper = add_person("Kit Kerr", Role.KEEPER)
    of = services.keep(services.receive(ROWS.encode(), "list.csv", "results", by=keeper), by=keeper)
    tile = Tile.objects.first()
    PhotoFilingFactory(tile=tile, photo=PhotoFactory())
    undone = undoing.undo(of, by=keeper)

    assert undone.stays[0] == str(tile)
    assert list(Tile.objects.all()) == [tile]


def test_a_name_given_to_another_meanwhile_stops_the_return_in_words():
    keeper = add_person("Kit Kerr", Role.KEEPER)
    of = services.keep(services.receive(ROWS.encode(), "list.csv", "results", by=keeper), by=keeper)
    undoing.undo(of, by=keeper)
    GlazeFactory(name="harbour")
    with pytest.raises(services.Refused, match="another name first"):
        undoing.put_back(of, by=keeper)
    assert not Tile.objects.exists()

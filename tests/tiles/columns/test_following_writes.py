"""Whatever is written, and however, the results held in memory are those of the database; on both databases."""

import threading
from collections.abc import Callable
from datetime import UTC, datetime
from random import Random
from typing import Any

import numpy as np
import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firings.models import Firing, Kiln, Shelf
from tests.factories import (
    FiringFactory,
    GlazeFactory,
    PhotoFactory,
    PhotoFilingFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.search.studios import lay_studio
from tiles.columns import queries, services
from tiles.columns.held import Held
from tiles.columns.values import FACETS
from tiles.conditions.services import refresh_firings, refresh_tiles
from tiles.models import (
    ClayBody,
    Coverage,
    Flaw,
    Glaze,
    GlazeBatch,
    Outcome,
    Photo,
    PhotoFiling,
    ResultChange,
    Series,
    Tile,
    Zone,
)

pytestmark = pytest.mark.django_db(transaction=True)


def decoded(held: Held) -> list[tuple[Any, ...]]:
    """Every row in its order, codes put back into values, and what each answers in every facet."""
    columns = [
        [book.values[code] for code in codes] for book, codes in zip(held.books, held.rows.codes, strict=True)
    ]
    lab = [
        tuple(None if figure != figure else figure for figure in axes)
        for axes in zip(*held.rows.lab, strict=True)
    ]
    keys = (held.rows.keys.tolist(), held.rows.late.tolist(), held.rows.place.tolist())
    return list(zip(*keys, *columns, lab, strict=True))


def counted(held: Held) -> dict[str, dict[Any, int]]:
    by_code = {}
    for column, codes in enumerate(held.rows.codes):
        by_code[column] = [int((codes == code).sum()) for code in range(held.sizes[column])]
    return {name: facet.counts(np.array(by_code[FACETS[name][0]])) for name, facet in held.facets.items()}


def some(chance: Random, model: Any) -> Any:
    rows = list(getattr(model, "everything", model._default_manager).order_by("pk"))
    return chance.choice(rows) if rows else None


def judge(chance: Random) -> None:
    outcome = some(chance, Outcome)
    seen = [("matt", "cloudy"), ("", ""), ("dry", "ünter Glas")]
    outcome.surface, outcome.remark = chance.choice(seen)
    outcome.judged_at = datetime(2026, 3, 1, tzinfo=UTC)
    outcome.save()


def see_flaw(chance: Random) -> None:
    Flaw.objects.get_or_create(outcome=some(chance, Outcome), kind=chance.choice(["crawling", "pitting"]))


def take_flaw_back(chance: Random) -> None:
    Flaw.objects.filter(outcome=some(chance, Outcome)).delete()


def move_flaw(chance: Random) -> None:
    other = some(chance, Outcome)
    Flaw.objects.filter(kind="dunting").exclude(outcome=other).update(outcome=other)
    Flaw.objects.get_or_create(outcome=other, kind="dunting")


def measure_all(chance: Random) -> None:
    lightness = chance.uniform(0, 100)
    Outcome.objects.update(lab_l=lightness, lab_a=1.5, lab_b=-2.5, lab_basis="chart", gloss_gu=lightness)


def bin_or_unbin(chance: Random) -> None:
    record = some(chance, chance.choice([Tile, Firing, Outcome, Photo]))
    if record is None:
        return
    record.binned_at = None if record.binned_at else datetime(2026, 3, 1, tzinfo=UTC)
    record.save()


def change_tile(chance: Random) -> None:
    tile = some(chance, Tile)
    tile.series, tile.note = (
        chance.choice([None, Series.objects.first()]),
        chance.choice(["", "thin"]),
    )
    tile.save()


def change_body(chance: Random) -> None:
    tile = some(chance, Tile)
    with transaction.atomic():
        tile.body = some(chance, ClayBody)
        tile.save()
        refresh_tiles([tile.pk])


def change_coats(chance: Random) -> None:
    coverage = some(chance, Coverage)
    with transaction.atomic():
        coverage.coats = chance.randint(1, 5)
        coverage.save()
        refresh_tiles([coverage.zone.tile_id])


def measure_layers(chance: Random) -> None:
    Coverage.objects.filter(zone=some(chance, Zone)).update(thickness_mm=chance.choice([None, "0.31", "1.2"]))


def put_a_layer_on_later(chance: Random) -> None:
    layer = some(chance, Coverage).layer
    with transaction.atomic():
        layer.after_firings = 1 - min(layer.after_firings, 1)
        layer.save()
        refresh_tiles([layer.tile_id])


def change_firing(chance: Random) -> None:
    firing = some(chance, Firing)
    with transaction.atomic():
        firing.hold_min = chance.randint(0, 30)
        firing.number += chance.choice([0, 1_000_000])
        firing.save()
        refresh_firings([firing.pk])


def rename(chance: Random) -> None:
    record = some(chance, chance.choice([Glaze, ClayBody, Kiln, Series]))
    record.name += "x"
    record.save()


def change_kind(chance: Random) -> None:
    Glaze.objects.filter(pk=some(chance, Glaze).pk).update(kind=chance.choice(["flux", "wash"]))
    ClayBody.objects.filter(pk=some(chance, ClayBody).pk).update(
        speckled=chance.choice([True, False]), colour_family="red"
    )
    GlazeBatch.objects.update(lot="26-007")


def move_shelf(chance: Random) -> None:
    shelf = some(chance, Shelf)
    shelf.position += 10
    shelf.save()


def photograph(chance: Random) -> None:
    tile = some(chance, Tile)
    PhotoFilingFactory(photo=PhotoFactory(), tile=tile, zone=chance.choice([None, tile.zones.first()]))


def file_elsewhere(chance: Random) -> None:
    filed = some(chance, PhotoFiling)
    if filed:
        PhotoFiling.objects.filter(pk=filed.pk).update(tile=some(chance, Tile), zone=None, placement=None)
        PhotoFiling.objects.filter(tile=some(chance, Tile)).delete()


def renumber_zones(chance: Random) -> None:
    zone = some(chance, Zone)
    Zone.objects.filter(pk=zone.pk).update(position=zone.position + 20)


def fire_one_more(chance: Random) -> None:
    firing, glaze = some(chance, Firing), some(chance, Glaze)
    fired_outcomes(glaze_tile(TileFactory(), (glaze, {"band 1": chance.randint(1, 3)})), firing)


def destroy(chance: Random) -> None:
    if Outcome.everything.count() == 1:
        return
    with connection.cursor() as cursor:
        pk = some(chance, Outcome).pk
        for table in ("tiles_flaw", "tiles_stackedlayer"):
            cursor.execute(f"DELETE FROM {table} WHERE outcome_id = %s", [pk])
    Outcome.everything.filter(pk=pk).delete()


WRITES: list[Callable[[Random], None]] = [
    *(
        judge,
        see_flaw,
        take_flaw_back,
        move_flaw,
        measure_all,
        bin_or_unbin,
        change_tile,
        change_body,
        change_coats,
    ),
    *(measure_layers, put_a_layer_on_later),
    *(change_firing, rename, change_kind, move_shelf, photograph, file_elsewhere, fire_one_more),
    *(renumber_zones, destroy),
]


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_after_any_writes_what_is_held_is_what_stands(data: Any) -> None:
    # Each studio beside those before it, whose names are free again.
    for model in (Glaze, ClayBody, Series, Kiln):
        model.objects.update(binned_at=datetime(2026, 3, 1, tzinfo=UTC))
    fired()
    lay_studio(data.draw)
    chance = Random(data.draw(st.integers(0, 2**32), label="seed"))
    first = queries.standing()
    for _ in range(20):
        write = chance.choice(WRITES)
        write(chance)
        held, read = queries.standing(), queries.read_now()

        assert decoded(held) == decoded(read), write
        assert counted(held) == counted(read), write
        assert held.lookups == read.lookups
        # Followed write by write, not read anew.
        assert held.books is first.books


def fired(**tile: Any) -> Outcome:
    made = glaze_tile(TileFactory(**tile), (GlazeFactory(), {"band 1": 2}))
    return fired_outcomes(made, FiringFactory(fired=True))[0]


def test_inside_a_transaction_the_database_is_asked():
    fired()

    with transaction.atomic():
        assert queries.standing() is None
    assert len(queries.standing().rows) == 1


def test_what_is_rolled_back_was_never_held():
    outcome = fired()
    before = queries.standing()
    with transaction.atomic():
        Outcome.objects.update(surface="dry")
        outcome.delete()
        transaction.set_rollback(True)

    assert queries.standing() is before


def test_others_do_not_see_a_write_before_it_is_committed():
    fired()
    before = queries.standing()
    seen: list[Held] = []
    with transaction.atomic():
        Outcome.objects.update(surface="dry")
        in_thread(lambda: seen.append(queries.standing()))

    assert seen == [before]
    assert queries.standing() is not before


def in_thread(work: Callable[[], object]) -> None:
    def run() -> None:
        try:
            work()
        finally:
            connection.close()

    thread = threading.Thread(target=run)
    thread.start()
    thread.join(20)
    assert not thread.is_alive()


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time")
def test_a_write_that_is_committed_after_later_ones_is_followed_too():
    slow, quick = fired(), fired()
    queries.standing()
    with transaction.atomic():
        Outcome.objects.filter(pk=slow.pk).update(surface="dry")
        in_thread(lambda: Outcome.objects.filter(pk=quick.pk).update(surface="matt"))
        in_thread(queries.standing)
        in_thread(lambda: Outcome.objects.filter(pk=quick.pk).update(surface="satin"))
        in_thread(queries.standing)

    assert counted(queries.standing())["surface"] == {"dry": 1, "satin": 1}


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time")
def test_somebody_elses_long_transaction_does_not_have_everything_read_again():
    other = connection.copy()
    try:
        with other.cursor() as cursor:
            cursor.execute("BEGIN")
            cursor.execute("SELECT pg_current_xact_id()")
            fired()
            services.watch_writes()
            before = queries.standing()

            assert queries.standing() is before
    finally:
        other.close()


def test_who_slept_through_the_log_reads_all_anew(monkeypatch):
    outcome = fired()
    first = queries.standing()
    monkeypatch.setattr(services, "KEPT", 1)
    Outcome.objects.filter(pk=outcome.pk).update(surface="dry")
    Outcome.objects.filter(pk=outcome.pk).update(surface="matt")
    services.forget_old_changes()

    assert ResultChange.objects.count() == 1
    assert queries.standing().books is not first.books
    assert counted(queries.standing())["surface"] == {"matt": 1}


def test_a_log_put_back_with_the_same_ids_is_not_taken_for_the_old_one():
    outcome = fired()
    first = queries.standing()
    with transaction.atomic():
        ResultChange.objects.update(stamp=1)
        Outcome.objects.filter(pk=outcome.pk).update(surface="dry")

    assert queries.standing().books is not first.books


def test_a_migration_notes_that_anything_may_have_changed():
    fired()
    first = queries.standing()
    services.stop_watching()
    Outcome.objects.update(surface="dry")
    assert queries.standing() is first
    services.watch_writes()

    assert counted(queries.standing())["surface"] == {"dry": 1}


def test_a_large_studio_is_read_behind_while_the_database_answers(monkeypatch):
    fired()
    queries.forget()
    monkeypatch.setattr(queries, "AT_ONCE", 0)

    assert queries.standing() is None
    queries._kept.reading.join(20)
    assert len(queries.standing().rows) == 1

"""Write much in lots, so that others write in between: unseen until all of it is there, else struck out.

On SQLite one transaction keeps everybody else from writing. What a long import lays down has a day in the bin that
nothing else has, so no page shows it; the last transaction takes that day away, or the import never was. One import at
a time holds a lock of the machine, which goes with its process: what is unseen while the lock is free, nobody finishes.
"""

import os
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.db import connection, models, transaction

from firings.models import LAYING, Firing, Kiln
from firings.rows import services as rows
from studio.models import ImportedRecord
from tiles.columns import services as columns_in_memory
from tiles.earlier.facts import Earlier
from tiles.models import (
    ClayBody,
    Coverage,
    Flaw,
    FormZone,
    Glaze,
    Layer,
    Outcome,
    Placement,
    StackedLayer,
    Tile,
    TileForm,
    Zone,
)

try:
    import fcntl
except ImportError:  # pragma: no cover
    # Windows has none; there an import is one transaction.
    fcntl = None  # type: ignore[assignment]

# A tile of three zones takes about thirty rows, a lot a good third of a second.
TILES_AT_ONCE = 400
# Longer than SQLite's longest pause between two tries for the lock, so that who waits comes in.
BREATH_S = 0.11
SEEN_LAST: tuple[type[models.Model], ...] = (ClayBody, TileForm, Glaze, Kiln, Firing, Tile)


def are_possible(tiles: int) -> bool:
    """Whether so many tiles are better written in lots here."""
    return tiles > TILES_AT_ONCE and _has_lock()


def _has_lock() -> bool:
    return connection.vendor == "sqlite" and fcntl is not None and not connection.in_atomic_block


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Hold the machine's lock of imports; what a dead one left unseen is struck out first."""
    if not _has_lock():
        yield
        return
    with _lock_file() as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        strike_out()
        yield


@contextmanager
def _lock_file() -> Iterator[int]:
    name = Path(str(connection.settings_dict["NAME"]))
    lock = os.open(name.with_name(f"{name.name}-importing"), os.O_RDWR | os.O_CREAT, 0o600)
    try:
        yield lock
    finally:
        os.close(lock)


def strike_out_abandoned() -> int:
    """Strike out what an import left unseen whose process is gone; how many tiles. Nothing while one is at work."""
    if not _has_lock():
        return 0
    with _lock_file() as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return 0
        return strike_out()


def parts(of: Earlier) -> Iterator[Earlier]:
    """The same tiles in lots, each with only the firings and stacks its tiles name."""
    for start in range(0, len(of.tiles), TILES_AT_ONCE):
        tiles = of.tiles[start : start + TILES_AT_ONCE]
        firings: dict[int, int] = {}
        stacks: dict[int, int] = {}
        for tile in tiles:
            tile.fired = [
                fired._replace(
                    firing=firings.setdefault(fired.firing, len(firings)),
                    results=[
                        one._replace(stack=stacks.setdefault(one.stack, len(stacks))) for one in fired.results
                    ],
                )
                for fired in tile.fired
            ]
        yield Earlier(tiles, [of.firings[place] for place in firings], [of.stacks[place] for place in stacks])


@contextmanager
def lot() -> Iterator[None]:
    """One lot of what nobody sees yet: a transaction without the triggers that tell what is seen of writes."""
    with transaction.atomic():
        columns_in_memory.stop_watching()
        yield
        columns_in_memory.watch_writes(unseen=True)
    time.sleep(BREATH_S)


def show() -> None:
    """Take away the day in the bin, in history too: from here on it is there. Within a transaction."""
    for model in SEEN_LAST:
        laid = _laid(model)
        versions: Any = model.history  # type: ignore[attr-defined]
        versions.filter(id__in=laid.values("pk"), binned_at=LAYING).update(binned_at=None)
        laid.update(binned_at=None)


def strike_out() -> int:
    """Strike out what is unseen, in lots too; how many tiles."""
    tiles = list(_laid(Tile).order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(tiles), TILES_AT_ONCE):
        with lot():
            _strike_out_tiles(tiles[start : start + TILES_AT_ONCE])
    others: dict[type[models.Model], list[int]] = {
        model: keys
        for model in SEEN_LAST
        if model is not Tile and (keys := list(_laid(model).values_list("pk", flat=True)))
    }
    if others:
        with lot():
            rows.erase(FormZone, "form_id", others.get(TileForm, []))
            for model in reversed(SEEN_LAST):
                _strike_out(model, others.get(model, []))
    return len(tiles)


def _strike_out_tiles(tiles: Sequence[int]) -> None:
    layers = _keys(Layer, tile__in=tiles)
    outcomes = _keys(Outcome, tile__in=tiles)
    rows.erase(StackedLayer, "outcome_id", outcomes)
    _strike_out(Flaw, _keys(Flaw, outcome__tile__in=tiles))
    _strike_out(Outcome, outcomes)
    _strike_out(Coverage, _keys(Coverage, layer__tile__in=tiles))
    _strike_out(Placement, _keys(Placement, tile__in=tiles))
    _strike_out(Layer, layers)
    rows.erase(Zone, "tile_id", tiles)
    _strike_out(Tile, tiles)


def _strike_out(model: type[models.Model], keys: Sequence[int]) -> None:
    rows.erase(model, "id", keys)
    rows.erase(model.history.model, "id", keys)  # type: ignore[attr-defined]
    for start in range(0, len(keys), rows.KEYS_AT_ONCE):
        some = keys[start : start + rows.KEYS_AT_ONCE]
        ImportedRecord.objects.filter(model=model._meta.label_lower, record_id__in=some).delete()


def _keys(model: type[models.Model], **of: Any) -> list[int]:
    return list(model._base_manager.filter(**of).values_list("pk", flat=True))


def _laid(model: type[models.Model]) -> models.QuerySet[Any]:
    return model._base_manager.filter(binned_at=LAYING)

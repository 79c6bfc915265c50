"""Lay a made-up studio into the log, set-wise: no model's save, no form, no history."""

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from typing import Any

import numpy as np
from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.models import Max, Model

from firings.models import Firing, Kiln, Shelf
from firings.vocabulary import FiringState
from tiles import numbers
from tiles.columns import services as columns
from tiles.made_up import rows, studio
from tiles.models import (
    ClayBody,
    Coverage,
    Flaw,
    FormZone,
    Glaze,
    GlazeBatch,
    Layer,
    Outcome,
    Placement,
    Series,
    StackedLayer,
    Tile,
    TileForm,
    Zone,
)

TABLES: dict[str, type[Model]] = {
    "tile": Tile,
    "zone": Zone,
    "layer": Layer,
    "coverage": Coverage,
    "placement": Placement,
    "outcome": Outcome,
    "stackedlayer": StackedLayer,
    "flaw": Flaw,
}
TILES_AT_ONCE = 10_000
SHELVES_A_KILN = 4


class NotEmpty(Exception):
    """The studio already holds tiles; the words are fit for one line."""


@transaction.atomic
def make_outcomes(count: int, seed: int, *, beside: bool = False, say: Callable[[str], None]) -> int:
    """Lay about `count` outcomes, three a tile; returns how many. Raises NotEmpty where tiles lie, unless `beside`."""
    if Tile.everything.exists() and not beside:
        raise NotEmpty("This studio already holds tiles.")
    chance = np.random.default_rng(seed)
    shelves = studio.shelves()
    tile_count = max(1, -(-count // len(studio.ZONES)))
    fired = studio.firings(-(-tile_count // studio.TILES_A_FIRING), chance)
    ways = studio.recipes(min(6000, tile_count), len(shelves.glazes), chance)
    laid = studio.tiles(tile_count, fired, ways, len(shelves.bodies), chance)
    columns.stop_watching()
    shared = _share(shelves, fired, tile_count)
    done = 0
    for made in rows.rows_of(laid, fired, _first(), shared, TILES_AT_ONCE):
        for name, model in TABLES.items():
            insert(model, rows.COLUMNS[name], made[name])
        done += len(made["outcome"])
        say(f"{done} outcomes")
    _count_on([*TABLES.values()])
    columns.watch_writes()
    return done


def insert(model: type[Model], names: Sequence[str], given: Iterable[tuple[Any, ...]]) -> None:
    """Rows of a table as tuples of some columns; every other column holds its model's default."""
    fields = [field for field in model._meta.concrete_fields if field.attname not in (*names, "id")]
    constants = tuple(field.get_db_prep_save(field.get_default(), connection) for field in fields)
    quoted = ", ".join(f'"{name}"' for name in (*names, *(field.attname for field in fields)))
    full = (row + constants for row in given)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f'COPY "{model._meta.db_table}" ({quoted}) FROM STDIN') as copy:
                for row in full:
                    copy.write_row(row)
        else:
            places = ", ".join(["%s"] * (len(names) + len(fields)))
            # Names of tables and columns are the models' own.
            sql = f'INSERT INTO "{model._meta.db_table}" ({quoted}) VALUES ({places})'  # nosec B608
            cursor.executemany(sql, [*full])


def _count_on(models: Sequence[type[Model]]) -> None:
    """Let the database give the next keys after those given here."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(models)):
            cursor.execute(statement)


def _highest(model: Any, column: str = "pk") -> int:
    manager = getattr(model, "everything", model._default_manager)
    return int(manager.aggregate(highest=Max(column))["highest"] or 0)


def _first() -> rows.First:
    return rows.First(
        tile=_highest(Tile) + 1,
        zone=_highest(Zone) + 1,
        layer=_highest(Layer) + 1,
        placement=_highest(Placement) + 1,
        outcome=_highest(Outcome) + 1,
        number=max(_highest(Tile, "number") + 1, numbers.FIRST),
    )


def _share(shelves: studio.Shelves, fired: Sequence[studio.Fired], tile_count: int) -> rows.Shared:
    """Make the records that tiles share; their names carry a number where an earlier studio has them."""
    turn = f" {_highest(Glaze) + 1}" if Glaze.everything.exists() else ""
    glazes = Glaze.objects.bulk_create(
        [
            Glaze(name=f"{name}{turn}", kind=kind, swatch=_swatch(place))
            for name, kind, place in shelves.glazes
        ]
    )
    lots = GlazeBatch.objects.bulk_create(
        [
            GlazeBatch(glaze=glazes[place // studio.LOTS_A_GLAZE], lot=lot)
            for place, lot in enumerate(shelves.lots)
        ]
    )
    bodies = ClayBody.objects.bulk_create(
        [
            ClayBody(name=f"{name}{turn}", colour_family=colour, speckled=speckled)
            for name, colour, speckled in shelves.bodies
        ]
    )
    kilns = Kiln.objects.bulk_create([Kiln(name=f"{name}{turn}") for name in shelves.kilns])
    kiln_shelves = Shelf.objects.bulk_create(
        [Shelf(kiln=kiln, position=position + 1) for kiln in kilns for position in range(SHELVES_A_KILN)]
    )
    form, form_zones = _form(turn)
    series_count = max(1, tile_count // studio.TILES_A_SERIES)
    series = Series.objects.bulk_create(
        [Series(name=f"Round {1 + place}{turn}") for place in range(series_count)]
    )
    firings = _firings(fired, [kiln.pk for kiln in kilns])
    return rows.Shared(
        form=form.pk,
        form_zones=tuple(zone.pk for zone in form_zones),
        bodies=tuple(body.pk for body in bodies),
        glazes=tuple(glaze.pk for glaze in glazes),
        lots=tuple(lot.pk for lot in lots),
        lot_words=shelves.lots,
        firings=tuple(firing.pk for firing in firings),
        kilns=tuple(kiln.pk for kiln in kilns),
        shelves=tuple(
            tuple(shelf.pk for shelf in kiln_shelves if shelf.kiln_id == kiln.pk) for kiln in kilns
        ),
        series=tuple(one.pk for one in series),
    )


def _swatch(place: int) -> str:
    return "#" + "".join(f"{60 + place * step % 160:02x}" for step in (37, 53, 29))


def _form(turn: str) -> tuple[TileForm, list[FormZone]]:
    form = TileForm.objects.create(name=f"Three zones{turn}", width_mm=60, height_mm=90)
    places = {"band 1": (0, 0, 20, 60), "band 2": (20, 0, 20, 60), "texture": (0, 60, 40, 24)}
    zones = [
        FormZone(
            form=form,
            position=position,
            name=name,
            kind="texture" if name == "texture" else "band",
            textured=name == "texture",
            **dict(zip(("x_mm", "y_mm", "width_mm", "height_mm"), places[name], strict=True)),
        )
        for position, name in enumerate(studio.ZONES, start=1)
    ]
    return form, FormZone.objects.bulk_create(zones)


def _firings(fired: Sequence[studio.Fired], kilns: Sequence[int]) -> list[Firing]:
    number = _highest(Firing, "number")
    return Firing.objects.bulk_create(
        [
            Firing(
                number=number + 1 + place,
                kiln_id=kilns[one.kiln],
                state=FiringState.UNLOADED.value,
                target_order=one.target,
                reached_order=one.reached,
                reached_number=one.number,
                reached_source="witness",
                atmosphere=one.atmosphere,
                hold_min=one.hold_min,
                started_at=one.started_at,
                unloaded_at=_next_day(one.started_at),
            )
            for place, one in enumerate(fired)
        ],
        batch_size=500,
    )


def _next_day(moment: datetime) -> datetime:
    return moment.replace(hour=23)

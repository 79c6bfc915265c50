"""The rows of a made-up studio's tables, tile by tile, with keys that follow one another."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from tiles.conditions.facts import LayerFacts
from tiles.conditions.stack import lots_of
from tiles.made_up.studio import ZONES, Fired, Judged, Laid, Recipe, key_of
from tiles.vocabulary import ColourBasis, Severity

Rows = dict[str, list[tuple[Any, ...]]]
AREA_CM2 = {"band 1": 12.0, "band 2": 12.0, "texture": 9.6}

# The columns that rows give for each table; all others hold what their model gives them.
COLUMNS = {
    "tile": ("id", "number", "form_id", "body_id", "series_id", "note"),
    "zone": ("id", "tile_id", "form_zone_id", "position", "name", "kind", "textured", "area_cm2"),
    "layer": ("id", "tile_id", "position", "glaze_id", "batch_id", "method"),
    "coverage": ("layer_id", "zone_id", "coats"),
    "placement": ("id", "tile_id", "firing_id", "shelf_id"),
    "outcome": (
        *("id", "zone_id", "placement_id", "tile_id", "body_id", "form_id", "textured", "firing_id"),
        *(
            "target_order",
            "reached_order",
            "reached_number",
            "reached_source",
            "atmosphere",
            "hold_min",
            "kiln_id",
        ),
        *(
            "shelf_id",
            "fired_on",
            "stack_key",
            "layer_count",
            "coats_total",
            "coats_top",
            "method",
            "top_glaze_id",
        ),
        *(
            "lots",
            "surface",
            "opacity",
            "run_mm",
            "runs_off",
            "gloss_gu",
            "lab_l",
            "lab_a",
            "lab_b",
            "lab_basis",
        ),
        *("verdict", "remark", "judged_at"),
    ),
    "stackedlayer": ("outcome_id", "position", "glaze_id", "batch_id", "method", "coats", "is_top"),
    "flaw": ("outcome_id", "kind", "severity"),
}


@dataclass(frozen=True, slots=True)
class First:
    """The first free key of each table, and the first free tile number."""

    tile: int
    zone: int
    layer: int
    placement: int
    outcome: int
    number: int


@dataclass(frozen=True, slots=True)
class Shared:
    """Keys of what tiles share: for each place its record's key; shelves by kiln."""

    form: int
    form_zones: tuple[int, ...]
    bodies: tuple[int, ...]
    glazes: tuple[int, ...]
    lots: tuple[int, ...]
    lot_words: tuple[str, ...]
    firings: tuple[int, ...]
    kilns: tuple[int, ...]
    shelves: tuple[tuple[int, ...], ...]
    series: tuple[int, ...]


def rows_of(
    laid: Iterator[Laid], fired: Sequence[Fired], first: First, shared: Shared, at_once: int
) -> Iterator[Rows]:
    """The rows of tiles, so many tiles at once."""
    made: Rows = defaultdict(list)
    layer = first.layer
    for place, tile in enumerate(laid):
        layer = _tile_rows(made, place, tile, fired[tile.firing], first, shared, layer)
        if (place + 1) % at_once == 0:
            yield made
            made = defaultdict(list)
    if made:
        yield made


def _tile_rows(
    made: Rows, place: int, laid: Laid, fired: Fired, first: First, shared: Shared, layer: int
) -> int:
    """Add a tile's rows; returns the next layer's key."""
    tile, placement, recipe = first.tile + place, first.placement + place, laid.recipe
    body, firing = shared.bodies[laid.body], shared.firings[laid.firing]
    shelf = shared.shelves[fired.kiln][laid.shelf]
    note = "thrown offcut" if place % 50 == 0 else ""
    series = shared.series[laid.series % len(shared.series)] if laid.series % 4 else None
    made["tile"].append((tile, first.number + place, shared.form, body, series, note))
    made["placement"].append((placement, tile, firing, shelf))
    layers = range(layer, layer + len(recipe.glazes))
    for position, (key, glaze, lot, method) in enumerate(
        zip(layers, recipe.glazes, recipe.lots, recipe.methods, strict=True), start=1
    ):
        batch = None if lot is None else shared.lots[lot]
        made["layer"].append((key, tile, position, shared.glazes[glaze], batch, method))
    for zone, name in enumerate(ZONES):
        zone_key = first.zone + place * len(ZONES) + zone
        outcome = first.outcome + place * len(ZONES) + zone
        is_texture = name == "texture"
        kind = "texture" if is_texture else "band"
        made["zone"].append(
            (zone_key, tile, shared.form_zones[zone], zone + 1, name, kind, is_texture, AREA_CM2[name])
        )
        made["coverage"] += [
            (key, zone_key, coats) for key, coats in zip(layers, recipe.coats[zone], strict=True)
        ]
        made["outcome"].append(
            (
                *(outcome, zone_key, placement, tile, body, shared.form, is_texture, firing),
                *(fired.target, fired.reached, fired.number, "witness", fired.atmosphere, fired.hold_min),
                *(shared.kilns[fired.kiln], shelf, fired.day.isoformat()),
                *_stack_columns(recipe, zone, shared),
                *_seen_columns(laid.judged[zone], fired),
            )
        )
        made["stackedlayer"] += _stacked(outcome, recipe, zone, shared)
        judged = laid.judged[zone]
        made["flaw"] += [(outcome, kind, Severity.SLIGHT.value) for kind in (judged.flaws if judged else ())]
    return layer + len(recipe.glazes)


def _stack_columns(recipe: Recipe, zone: int, shared: Shared) -> tuple[Any, ...]:
    coats = recipe.coats[zone]
    lots = [shared.lot_words[lot] if lot is not None else "" for lot in recipe.lots]
    words = lots_of([LayerFacts(0, "", None, lot, "", 1, None) for lot in lots])
    return (
        key_of(recipe, zone, shared.glazes[0]),
        len(coats),
        sum(coats),
        coats[-1],
        recipe.methods[-1],
        shared.glazes[recipe.glazes[-1]],
        words,
    )


def _seen_columns(judged: Judged | None, fired: Fired) -> tuple[Any, ...]:
    if judged is None:
        return ("", "", None, False, None, None, None, None, "", "", "", None)
    return (
        *(judged.surface, judged.opacity, judged.run_mm, judged.runs_off, judged.gloss_gu),
        *(judged.lab or (None, None, None)),
        ColourBasis.CHART.value if judged.lab else "",
        *(judged.verdict, judged.remark, fired.started_at.isoformat(" ")),
    )


def _stacked(outcome: int, recipe: Recipe, zone: int, shared: Shared) -> list[tuple[Any, ...]]:
    layers = zip(recipe.glazes, recipe.lots, recipe.methods, recipe.coats[zone], strict=True)
    return [
        (
            *(outcome, position, shared.glazes[glaze], None if lot is None else shared.lots[lot]),
            *(method, coats, position == len(recipe.glazes)),
        )
        for position, (glaze, lot, method, coats) in enumerate(layers, start=1)
    ]

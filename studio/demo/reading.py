"""Reads the demo studio's fixtures."""

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from firings.cones import series
from studio.demo.catalogue import (
    Batch,
    BatchDay,
    Body,
    Catalogue,
    ConeRange,
    Form,
    KilnFacts,
    Leached,
    Look,
    PersonFacts,
    Recipe,
    Weighed,
    ZoneShape,
)
from studio.demo.picture import Rgb

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@cache
def demo_catalogue() -> Catalogue:
    """The invented studio: people, kilns, bodies, glazes, forms."""
    studio = _read("studio")
    return Catalogue(
        studio_name=studio["name"],
        people=tuple(PersonFacts(**person) for person in studio["people"]),
        kilns={row["name"]: _kiln(row) for row in studio["kilns"]},
        bodies={row["name"]: _body(row) for row in _read("bodies")["bodies"]},
        glazes={row["name"]: _recipe(row) for row in _read("glazes")["glazes"]},
        forms={row["name"]: _form(row) for row in _read("forms")["forms"]},
        weighed=tuple(_weighed(row) for row in _read("laboratory")["absorption"]),
        leached=tuple(_leached(row) for row in _read("laboratory")["leaching"]),
    )


def rgb_of(swatch: str) -> Rgb:
    """The sRGB colour of a swatch such as #23466c.

    >>> rgb_of("#23466c")
    (35, 70, 108)
    """
    return int(swatch[1:3], 16), int(swatch[3:5], 16), int(swatch[5:7], 16)


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((FIXTURES / f"{name}.toml").read_text(encoding="utf-8"))


def _cones(labels: list[str]) -> ConeRange:
    low, high = (series.order_of(label) for label in labels)
    return ConeRange(low, high)


def _weighed(row: dict[str, Any]) -> Weighed:
    pieces = tuple(tuple(masses) for masses in row["pieces"])
    cone = series.order_of(row["cone"])
    return Weighed(row["body"], cone, row["method"], row["days_ago"], pieces, row.get("logged", False))


def _leached(row: dict[str, Any]) -> Leached:
    facts = dict(row)
    glaze, body, cone, days_ago, figures = (
        facts.pop(name) for name in ("glaze", "body", "cone", "days_ago", "figures")
    )
    told = tuple((element, measured) for element, measured in figures)
    return Leached(glaze, body, series.order_of(cone), days_ago, facts, told)


def _kiln(row: dict[str, Any]) -> KilnFacts:
    return KilnFacts(
        row["name"],
        row["kind"],
        row.get("power_kw"),
        row.get("energy_price_per_kwh"),
        row.get("elements_fitted_days_ago"),
        row["note"],
        tuple((width, depth, height) for width, depth, height in row["shelves"]),
        tuple(row["shelf_cones"]),
    )


def _body(row: dict[str, Any]) -> Body:
    colours = {"bare": row["swatch"], "bare_reduced": row["reduced"], "blush": row["blush"]}
    plain = {key: value for key, value in row.items() if key not in ("reduced", "blush", "cones", "lots")}
    optional = {"speckled": False, "default_hold_min": None}
    return Body(
        **{**optional, **plain, **{name: rgb_of(swatch) for name, swatch in colours.items()}},
        cones=_cones(row["cones"]),
        lots=tuple(row["lots"]),
    )


def _look(row: dict[str, str]) -> Look:
    drift = row.get("drift")
    return Look(
        rgb_of(row["full"]), rgb_of(row["thin"]), rgb_of(row["edge"]), rgb_of(drift) if drift else None
    )


def _recipe(row: dict[str, Any]) -> Recipe:
    made = ("cones", "coats", "oxidation", "reduction", "batches")
    plain = {key: value for key, value in row.items() if key not in made}
    return Recipe(
        **{"known_runner": False, "note": "", "tags": "", **plain},
        cones=_cones(row["cones"]),
        coats=(row["coats"][0], row["coats"][1]),
        oxidation=_look(row["oxidation"]),
        reduction=_look(row["reduction"]),
        batches=tuple(_batch(batch) for batch in row["batches"]),
    )


def _batch(row: dict[str, Any]) -> Batch:
    days = tuple(BatchDay(**day) for day in row.get("readings", ()))
    return Batch(**{"flow_s": None, **row, "readings": days})


def _form(row: dict[str, Any]) -> Form:
    plain = {key: value for key, value in row.items() if key != "zones"}
    return Form(
        **{"hole_mm": 0.0, "foot_mm": 0.0, **plain}, zones=tuple(ZoneShape(*zone) for zone in row["zones"])
    )

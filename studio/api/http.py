"""Keys in requests, and the shapes of answers, from which the OpenAPI document is made."""

from typing import Any

from django.http import HttpRequest
from ninja import Schema
from ninja.security import HttpBearer

from studio.api.queries import key_shown
from studio.api.services import note_use
from tiles.search.groups import NAMES_IN_ADDRESS, title_of


class ByKey(HttpBearer):
    """``Authorization: Bearer KEY``; who shows it reads what its person may."""

    def authenticate(self, request: HttpRequest, token: str) -> str | None:
        """The key's number as text, by which its requests are counted; None for a key nobody has."""
        key = key_shown(token)
        if key is None:
            return None
        note_use(key)
        request.user = key.person
        return str(key.pk)


class Problem(Schema):
    """What is wrong, in words."""

    detail: str


class Problems(Schema):
    """What could not be read, in sentences."""

    problems: list[str]


class Layer(Schema):
    glaze: str
    lot: str
    method: str
    coats: int | None
    dip_s: float | None


class SeenFlaw(Schema):
    flaw: str
    severity: str


class Result(Schema):
    """One zone of a tile after one firing. Units are part of the names; a cone is written as people write it."""

    result: int
    tile: str
    zone: str
    conditions: str
    stack: str
    layers: list[Layer]
    coats_total: int
    coats_top: int | None
    body: str
    body_colour: str
    body_speckled: bool
    form: str
    textured: bool
    firing: str
    fired_on: str | None
    firing_of_this_tile: int
    kiln: str
    shelf: int | None
    place: str
    target_cone: str
    reached_cone: str
    reached_cone_number: float | None
    reached_by: str
    atmosphere: str
    hold_min: int
    judged_at: str | None
    surface: str
    opacity: str
    run_mm: float | None
    ran_off_the_foot: bool
    pooling: str
    breaking: str
    gloss_60_gu: float | None
    colour_lab_d50_l: float | None
    colour_lab_d50_a: float | None
    colour_lab_d50_b: float | None
    colour_by: str
    flaws: list[SeenFlaw]
    verdict: str
    remark: str
    series: str
    photo: str


class Results(Schema):
    """Some of what was found; `next` is the address of the following ones, none after the last."""

    total: int
    next: str | None
    results: list[Result]


class Tile(Schema):
    number: str
    body: str
    form: str
    series: str
    planned_cone: str
    address: str


class TileWithResults(Tile):
    results: list[Result]


class Tiles(Schema):
    """Tiles in the order of their numbers."""

    next: str | None
    tiles: list[Tile]


class Glaze(Schema):
    glaze: int
    name: str
    kind: str
    maker: str
    cone_from: str
    cone_to: str
    surface: str
    opacity: str
    tags: list[str]
    known_to_run: bool


class Glazes(Schema):
    glazes: list[Glaze]


class Body(Schema):
    body: int
    name: str
    colour: str
    speckled: bool
    cone_from: str
    cone_to: str
    absorption_pct: float | None
    shrinkage_pct: float | None


class Bodies(Schema):
    bodies: list[Body]


class Firing(Schema):
    number: str
    kiln: str
    purpose: str
    state: str
    atmosphere: str
    hold_min: int
    target_cone: str
    reached_cone: str
    reached_cone_number: float | None
    reached_by: str
    started_at: str | None


class Firings(Schema):
    """Firings, the newest first."""

    next: str | None
    firings: list[Firing]


def filters() -> dict[str, Any]:
    """The filters of the results page as parameters of the OpenAPI document; each may be said several times."""
    names = [name for name in NAMES_IN_ADDRESS if name != "view"]
    return {
        "parameters": [
            {
                "in": "query",
                "name": name,
                "description": f"{title_of(name)}, written as in the address of the results page.",
                "schema": {"type": "array", "items": {"type": "string"}},
                "explode": True,
                "required": False,
            }
            for name in names
        ]
    }

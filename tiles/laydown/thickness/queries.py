"""Weighed coats of the whole studio, in a number of queries that does not grow."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from statistics import fmean
from urllib.parse import urlencode

from django.contrib.auth import get_user_model
from django.db.models import QuerySet
from django.urls import reverse

from firings.kilns.interval import ENOUGH
from tiles.laydown.coats import Hand, Laying, Weighing, layings, of_a_coat
from tiles.models import Coverage, Glaze
from tiles.vocabulary import Method


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the table, with its words."""

    laying: Laying
    glaze: str
    person: str
    how: str
    address: str

    @property
    def is_enough(self) -> bool:
        return self.laying.estimate is not None


@dataclass(frozen=True, slots=True)
class Thickness:
    """How thickly glaze goes on here. `without_gravity` counts weighed zones whose slop's gravity nobody noted."""

    rows: tuple[Row, ...]
    without_gravity: int
    enough: int = ENOUGH


def weighed(glaze: int | None = None) -> QuerySet[Coverage]:
    """The zones that were weighed, of all glazes or of one."""
    covers = Coverage.objects.filter(wet_mass_g__gt=0, layer__tile__binned_at__isnull=True)
    return covers if glaze is None else covers.filter(layer__glaze=glaze)


def weighings(glaze: int | None = None) -> tuple[list[Weighing], int]:
    """All weighed zones, and how many more lack the slop's specific gravity, so that nothing is said; one query."""
    columns = (
        *(
            "layer__glaze_id",
            "layer__tile__glazed_by_id",
            "layer__method",
            "layer__tool",
            "layer__tile__number",
        ),
        *("layer__specific_gravity", "layer__batch__specific_gravity"),
        *("wet_mass_g", "zone__area_cm2", "coats"),
    )
    found, lacking = [], 0
    for key, person, method, tool, tile, gravity, of_lot, wet_g, area_cm2, coats in weighed(
        glaze
    ).values_list(*columns):
        specific_gravity = _gravity(gravity, of_lot)
        if specific_gravity is None:
            lacking += 1
            continue
        hand = Hand(key, person or 0, method, tool.strip())
        found.append(Weighing(hand, tile, *of_a_coat(float(wet_g), coats, float(area_cm2), specific_gravity)))
    return found, lacking


def thickness(glaze: int | None = None) -> Thickness:
    """How thickly each person lays each glaze on with each brush."""
    found, lacking = weighings(glaze)
    listed = layings(found)
    glazes = Glaze.everything.in_bulk({one.hand.glaze for one in listed})
    people = people_of({one.hand.person for one in listed})
    return Thickness(tuple(_row(one, glazes, people) for one in listed), lacking)


@dataclass(frozen=True, slots=True)
class Behind:
    """A weighed zone as it stands behind a figure; `laydown_mg_cm2` is of one coat, None without a specific gravity."""

    cover: Coverage
    gravity: float | None
    laydown_mg_cm2: float | None


def behind(hand: Hand) -> list[Behind]:
    """The weighed zones of one hand, tile by tile."""
    covers = weighed(hand.glaze).filter(
        layer__tile__glazed_by=hand.person or None, layer__method=hand.method, layer__tool=hand.tool
    )
    covers = covers.select_related("zone", "layer__tile", "layer__batch")
    return [_behind(cover) for cover in covers.order_by("layer__tile__number", "zone__position")]


def _behind(cover: Coverage) -> Behind:
    layer = cover.layer
    gravity = _gravity(layer.specific_gravity, layer.batch.specific_gravity if layer.batch else None)
    if gravity is None or cover.wet_mass_g is None:
        return Behind(cover, None, None)
    laydown, _ = of_a_coat(float(cover.wet_mass_g), cover.coats, float(cover.zone.area_cm2), gravity)
    return Behind(cover, gravity, laydown)


def _gravity(of_layer: Decimal | None, of_lot: Decimal | None) -> float | None:
    """The slop's specific gravity as it was noted, on the layer before the lot; None where nothing can be reckoned."""
    noted = float(of_layer or of_lot or 0)
    return noted if noted > 1 else None


def people_of(keys: set[int]) -> dict[int, str]:
    """People's names by their keys."""
    return {person.pk: str(person) for person in get_user_model()._default_manager.filter(pk__in=keys)}


def _row(laying: Laying, glazes: Mapping[int, Glaze], people: Mapping[int, str]) -> Row:
    hand = laying.hand
    how = "a dip" if hand.method == Method.DIP else Method.label_of(hand.method)
    asked = {"glaze": hand.glaze, "person": hand.person, "method": hand.method, "tool": hand.tool}
    return Row(
        laying,
        str(glazes.get(hand.glaze, "")),
        people.get(hand.person, "nobody noted"),
        ", ".join(filter(None, (how, hand.tool))),
        f"{reverse('tiles:laydown:weighed')}?{urlencode(asked)}",
    )


def wet_of_a_coat(method: str = Method.BRUSH.value) -> dict[int, float]:
    """What a coat takes of each glaze, as weighed here [g/cm², wet], by the glaze's key; 0 stands for all of them.

    A glaze is left out until as many tiles of it were weighed as an interval needs.
    """
    by_glaze: dict[int, dict[int, list[float]]] = {}
    for one in weighings()[0]:
        if one.hand.method == method:
            for key in (one.hand.glaze, 0):
                by_glaze.setdefault(key, {}).setdefault(one.tile, []).append(one.wet_g_cm2)
    return {
        key: fmean(fmean(zones) for zones in tiles.values())
        for key, tiles in by_glaze.items()
        if len(tiles) >= ENOUGH
    }

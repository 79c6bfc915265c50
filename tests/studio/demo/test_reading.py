"""The fixtures of the demo studio hold together."""

import re
from itertools import combinations

import pytest

from firings.vocabulary import KilnKind
from studio.demo.reading import demo_catalogue
from studio.roles import Role
from tiles.vocabulary import ColourFamily, Face, FormShape, GlazeKind, Opacity, Surface, ZoneKind

SHELVES = demo_catalogue()


@pytest.mark.parametrize("glaze", SHELVES.glazes.values(), ids=lambda glaze: glaze.name)
def test_a_glaze_uses_the_words_of_the_closed_lists(glaze):
    assert glaze.kind in GlazeKind.values()
    assert glaze.surface in Surface.values()
    assert glaze.opacity in Opacity.values()
    assert glaze.cones.low <= glaze.cones.high
    assert glaze.coats[0] <= glaze.coats[1]
    assert re.fullmatch(r"#[0-9a-f]{6}", glaze.swatch)


@pytest.mark.parametrize("glaze", SHELVES.glazes.values(), ids=lambda glaze: glaze.name)
def test_a_glaze_carries_its_label_and_a_lot(glaze):
    assert glaze.cautions
    assert glaze.thinning
    assert glaze.batches
    assert all(1 < batch.sg < 2 for batch in glaze.batches)


@pytest.mark.parametrize("glaze", SHELVES.glazes.values(), ids=lambda glaze: glaze.name)
def test_tendencies_are_shares(glaze):
    tendencies = ("fluid", "hiding", "breaks", "craze", "crawl", "pinhole", "mottle")

    assert all(0 <= getattr(glaze, name) <= 1 for name in tendencies)


def test_the_shelves_hold_glazes_of_every_kind():
    assert {glaze.kind for glaze in SHELVES.glazes.values()} == set(GlazeKind.values())
    assert {glaze.surface for glaze in SHELVES.glazes.values()} >= {"glossy", "semi", "satin", "matt", "dry"}
    assert {glaze.opacity for glaze in SHELVES.glazes.values()} == set(Opacity.values())
    assert any(glaze.known_runner for glaze in SHELVES.glazes.values())


def test_bodies_come_white_speckled_red_and_dark():
    bodies = SHELVES.bodies.values()

    assert {body.colour_family for body in bodies} <= set(ColourFamily.values())
    assert {"white", "buff", "red", "dark"} <= {body.colour_family for body in bodies}
    assert any(body.speckled for body in bodies)
    assert any(body.default_hold_min for body in bodies)


@pytest.mark.parametrize("form", SHELVES.forms.values(), ids=lambda form: form.name)
def test_the_zones_of_a_form_lie_on_it_and_not_on_each_other(form):
    assert form.shape in FormShape.values()
    for zone in form.zones:
        assert zone.kind in ZoneKind.values()
        assert zone.face in Face.values()
        assert 0 <= zone.x_mm < zone.x_mm + zone.width_mm <= form.width_mm
        assert 0 <= zone.y_mm < zone.low_mm <= form.height_mm
    for one, other in combinations([zone for zone in form.zones if zone.kind == "band"], 2):
        apart_across = min(one.x_mm, other.x_mm) + 20 <= max(one.x_mm, other.x_mm)
        apart_down = abs(one.y_mm - other.y_mm) >= min(one.height_mm, other.height_mm) - 3
        assert apart_across or apart_down


def test_a_form_tells_its_zones_apart_by_name():
    for form in SHELVES.forms.values():
        assert len({zone.name for zone in form.zones}) == len(form.zones)


def test_every_shelf_of_a_kiln_has_its_own_heat():
    for kiln in SHELVES.kilns.values():
        assert kiln.kind in KilnKind.values()
        assert len(kiln.shelves) == len(kiln.shelf_cones)


def test_someone_holds_each_role():
    assert {person.role for person in SHELVES.people} == set(Role.values())

"""The rules of the trade, as the demo follows them. Directions are common practice, no source."""

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from studio.demo import behaviour, fired_colour, mishaps
from studio.demo.behaviour import Fired, Heat, Laid, coats_of_dip
from studio.demo.catalogue import ZoneShape
from studio.demo.reading import demo_catalogue

SHELVES = demo_catalogue()
BAND = ZoneShape("band 3", "band", "front", False, 43, 32, 20, 56)
GLAZES = [recipe for recipe in SHELVES.glazes.values() if recipe.kind == "glaze"]
FLUX = SHELVES.glazes["Flux L"]


@st.composite
def fired_zones(draw: st.DrawFn) -> Fired:
    """Any glaze on any body in any firing within four cones of its range."""
    recipe = draw(st.sampled_from(GLAZES))
    low, high = recipe.cones.numbers
    heat = Heat(
        draw(st.floats(low - 4, high + 4)),
        draw(st.sampled_from(["oxidation", "reduction"])),
        draw(st.integers(0, 30)),
    )
    layers = (Laid(recipe, draw(st.integers(1, 4)), draw(st.sampled_from(["brush", "spray"]))),)
    body = draw(st.sampled_from(list(SHELVES.bodies.values())))
    return Fired(layers, body, heat, BAND, draw(st.booleans()), 24.0, draw(st.integers(0, 5000)))


def with_coats(fired: Fired, coats: float) -> Fired:
    return replace(fired, layers=(*fired.layers[:-1], replace(fired.layers[-1], coats=coats)))


def on(name: str, body: str, heat: Heat, coats: float = 3, **more: object) -> Fired:
    return Fired((Laid(SHELVES.glazes[name], coats),), SHELVES.bodies[body], heat, BAND, **more)  # type: ignore[arg-type]


@given(fired_zones())
def test_more_coats_never_run_less(fired):
    thicker = with_coats(fired, fired.coats + 1)

    assert behaviour.run_mm(thicker) >= behaviour.run_mm(fired)


@given(fired_zones())
def test_more_coats_never_show_more_of_the_body(fired):
    thicker = with_coats(fired, fired.coats + 1)

    assert behaviour.hidden(thicker) >= behaviour.hidden(fired)


@given(fired_zones(), st.floats(0, 3))
def test_more_heat_never_runs_less_and_never_dulls(fired, hotter):
    after = replace(fired, heat=replace(fired.heat, number=fired.heat.number + hotter))

    assert behaviour.run_mm(after) >= behaviour.run_mm(fired)
    assert behaviour.shine(after) >= behaviour.shine(fired)


@given(fired_zones())
def test_a_coat_of_flux_never_makes_a_glaze_run_less(fired):
    fluxed = replace(fired, layers=(Laid(FLUX, 1), *fired.layers))

    assert behaviour.run_mm(fluxed) >= behaviour.run_mm(fired)


@given(fired_zones())
def test_flux_counts_alike_under_and_over(fired):
    under = replace(fired, layers=(Laid(FLUX, 1), *fired.layers))
    over = replace(fired, layers=(*fired.layers, Laid(FLUX, 1)))

    assert behaviour.run_mm(over) == behaviour.run_mm(under)


@given(fired_zones())
def test_a_longer_hold_never_leaves_more_pinholes(fired):
    unheld = replace(fired, heat=replace(fired.heat, hold_min=0))
    held = replace(fired, heat=replace(fired.heat, hold_min=15))

    assert mishaps.CAUSES["pinholing"](held, 0.5) <= mishaps.CAUSES["pinholing"](unheld, 0.5)


@given(fired_zones())
def test_a_dark_body_never_makes_a_zone_lighter_than_a_white_one(fired):
    white, dark = (replace(fired, body=SHELVES.bodies[name]) for name in ("Porch White", "Cellar"))
    lightness = [fired_colour.lab_of(fired_colour.zone_rgb(zone))[0] for zone in (white, dark)]

    assert lightness[1] <= lightness[0]


@given(fired_zones())
def test_what_lies_flat_hardly_runs(fired):
    standing, lying = replace(fired, upright=True), replace(fired, upright=False)

    assert behaviour.run_mm(lying) <= max(1.0, 0.1 * behaviour.run_mm(standing) + 0.5)


@given(fired_zones())
def test_a_raw_glaze_neither_runs_nor_shines(fired):
    low, _ = fired.layers[0].recipe.cones.numbers
    raw = replace(fired, heat=Heat(low - 2, fired.heat.atmosphere, 0))

    assert behaviour.run_mm(raw) == 0
    assert behaviour.surface_word(behaviour.shine(raw)) == "dry"
    assert "underfired" in mishaps.flaw_amounts(raw)


@given(fired_zones())
def test_all_amounts_stay_within_their_bounds(fired):
    shares = (behaviour.shine, behaviour.hidden, behaviour.breaking, behaviour.pooling)

    assert all(0 <= share(fired) <= 1 for share in shares)
    assert 0 <= behaviour.run_mm(fired) <= 90
    assert all(0 < amount <= 1 for amount in mishaps.flaw_amounts(fired).values())


@given(fired_zones())
def test_one_brushed_coat_is_streakier_than_three(fired):
    assume(fired.layers[0].method == "brush" and fired.layers[0].recipe.hiding >= 0.5)
    one, three = (mishaps.CAUSES["streaking"](with_coats(fired, coats), 0.5) for coats in (1, 3))

    assert one > three


def test_copper_red_is_red_in_reduction_only():
    red, green = (
        fired_colour.zone_rgb(on("Ember Plum", "Loft", Heat(10, air))) for air in ("reduction", "oxidation")
    )

    assert fired_colour.lab_of(red)[1] > 30
    assert fired_colour.lab_of(green)[1] < 0


def test_copper_red_burns_out_where_it_is_thin():
    thin, thick = (
        fired_colour.lab_of(fired_colour.zone_rgb(on("Ember Plum", "Loft", Heat(10, "reduction"), coats)))
        for coats in (1, 3)
    )

    assert thin[1] < thick[1]
    assert thin[0] > thick[0]


def test_a_little_iron_in_a_clear_glaze_is_straw_in_oxidation_and_green_in_reduction():
    straw, green = (
        fired_colour.lab_of(fired_colour.zone_rgb(on("Rain Jar", "Loft", Heat(9.5, air))))
        for air in ("oxidation", "reduction")
    )

    assert straw[2] > 15
    assert green[1] < -8
    assert green[2] < straw[2]


def test_the_gassy_body_pinholes_without_a_hold_and_heals_with_one():
    without, held = (mishaps.flaw_amounts(on("Thaw", "Cellar", Heat(6, hold_min=hold))) for hold in (0, 15))

    assert "pinholing" in without
    assert "pinholing" not in held


def test_a_flux_under_three_coats_runs_several_times_as_far():
    alone = on("Harbour", "Porch White", Heat(6))
    fluxed = replace(alone, layers=(Laid(FLUX, 1), *alone.layers))

    assert behaviour.run_mm(fluxed) >= 3 * behaviour.run_mm(alone)


def test_earthenware_bloats_at_a_stoneware_cone():
    assert "bloating" in mishaps.flaw_amounts(on("Harbour", "Barn Red", Heat(6)))


def test_a_run_longer_than_the_room_below_leaves_the_tile_and_plucks():
    near = on("Ember Plum", "Loft", Heat(10.5, "reduction"), 4, room_mm=3.0)

    assert behaviour.runs_off(near)
    assert "plucking" in mishaps.flaw_amounts(near)
    assert not behaviour.runs_off(replace(near, room_mm=80.0))


@given(st.floats(0.5, 20), st.floats(0.1, 20))
def test_a_longer_dip_lays_on_more_but_ever_more_slowly(dip_s, more_s):
    first = coats_of_dip(dip_s + more_s) - coats_of_dip(dip_s)
    second = coats_of_dip(dip_s + 2 * more_s) - coats_of_dip(dip_s + more_s)

    assert first > second > 0


@given(fired_zones())
def test_the_same_tile_has_the_same_luck(fired):
    again = replace(fired)

    assert mishaps.flaw_amounts(again) == mishaps.flaw_amounts(fired)
    assert -1 <= fired.luck("run") <= 1.000001


def test_lab_of_the_primaries():
    # sRGB's red and blue under D50: tests/published/srgb_lab.csv
    assert fired_colour.lab_of((255, 0, 0)) == pytest.approx((54.29, 80.81, 69.89), abs=0.02)
    assert fired_colour.lab_of((0, 0, 255)) == pytest.approx((29.57, 68.29, -112.03), abs=0.02)

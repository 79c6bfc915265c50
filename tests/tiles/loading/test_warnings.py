"""What contradicts what the studio knows, each with what to do."""

from dataclasses import replace

import pytest

from firings.cones import series
from tiles.loading.warnings import (
    BodyOverRange,
    FireFacts,
    GlazedInBisque,
    GlazeFacts,
    GlazeOverRange,
    GlazeUnderRange,
    HoldNotMet,
    InTwoLoads,
    NotBisqued,
    PlannedForAnotherCone,
    RunnerUnguarded,
    TileFacts,
    TooTall,
    Unglazed,
    tile_words,
    warnings_of,
)

CONE_5, CONE_6, CONE_8, CONE_10 = (series.order_of(label) for label in ("5", "6", "8", "10"))
HARBOUR = GlazeFacts("Harbour", low_order=CONE_5, high_order=CONE_10)
FIRE = FireFacts("glaze", CONE_6, hold_min=10)
TILE = TileFacts("1042-9", "Dune", glazes=(HARBOUR,))


def test_an_ordinary_load_is_nothing_to_mind():
    assert warnings_of(FIRE, [TILE]) == []


def test_an_empty_firing_is_nothing_to_mind():
    assert warnings_of(FIRE, []) == []


def test_a_bodys_hold_that_the_firing_cuts_short_is_said_once_for_all_its_tiles():
    tiles = [replace(TILE, label=label, body_hold_min=20) for label in ("1042-9", "1043-2")]

    [warning] = warnings_of(FIRE, tiles)

    assert warning == HoldNotMet("Dune", 20, 10, ("1042-9", "1043-2"))
    assert "Hold it 20 min" in warning.words


@pytest.mark.parametrize("hold_min", [20, 25])
def test_a_hold_as_long_as_the_bodys_or_longer_meets_it(hold_min):
    assert warnings_of(replace(FIRE, hold_min=hold_min), [replace(TILE, body_hold_min=20)]) == []


def test_tiles_planned_for_another_cone_may_be_in_the_wrong_firing():
    fire = replace(FIRE, target_order=CONE_6)
    planned = [replace(TILE, label=label, planned_order=CONE_10) for label in ("1042-9", "1043-2")]

    [warning] = warnings_of(fire, [*planned, replace(TILE, planned_order=CONE_6)])

    assert warning == PlannedForAnotherCone(CONE_10, CONE_6, ("1042-9", "1043-2"))
    assert "Planned for cone 10" in warning.words


def test_a_firing_that_came_out_hotter_than_meant_is_still_the_right_one():
    fire = replace(FIRE, cone_order=CONE_8, target_order=CONE_6)

    assert warnings_of(fire, [replace(TILE, planned_order=CONE_6)]) == []


def test_a_body_fired_over_its_range_is_said():
    [warning] = warnings_of(replace(FIRE, cone_order=CONE_8), [replace(TILE, body_high_order=CONE_6)])

    assert warning == BodyOverRange("Dune", CONE_6, CONE_8, ("1042-9",))
    assert "cone 6" in warning.words


@pytest.mark.parametrize(
    ("low", "high", "kind"), [(None, CONE_5, GlazeOverRange), (CONE_8, None, GlazeUnderRange)]
)
def test_a_glaze_outside_its_range_is_said_either_way(low, high, kind):
    [warning] = warnings_of(FIRE, [replace(TILE, glazes=(replace(HARBOUR, low_order=low, high_order=high),))])

    assert isinstance(warning, kind)


@pytest.mark.parametrize("order", [CONE_5, CONE_6, CONE_10])
def test_the_ends_of_a_glazes_range_belong_to_it(order):
    assert warnings_of(replace(FIRE, cone_order=order), [TILE]) == []


def test_without_a_target_cone_no_range_can_be_contradicted():
    tile = replace(TILE, body_high_order=CONE_5, glazes=(replace(HARBOUR, high_order=CONE_5),))

    assert warnings_of(replace(FIRE, cone_order=None), [tile]) == []


RUNNER = replace(TILE, glazes=(replace(HARBOUR, known_runner=True),))


def test_a_known_runner_high_up_without_a_cookie_is_said():
    assert warnings_of(FIRE, [RUNNER]) == [RunnerUnguarded("Harbour", ("1042-9",))]


def test_a_flux_under_a_glaze_counts_as_a_runner():
    [warning] = warnings_of(FIRE, [replace(TILE, flux_under=True)])

    assert "flux under a glaze is known to run" in warning.words


@pytest.mark.parametrize("guard", ["on_cookie", "is_lowest"])
def test_a_cookie_or_the_bottom_shelf_guards_a_runner(guard):
    assert warnings_of(FIRE, [replace(RUNNER, **{guard: True})]) == []


def test_an_unglazed_tile_in_a_glaze_firing_is_said():
    assert warnings_of(FIRE, [replace(TILE, glazes=())]) == [Unglazed(("1042-9",))]


def test_a_tile_without_a_bisque_firing_is_said_with_what_once_firing_needs():
    [warning] = warnings_of(FIRE, [replace(TILE, is_bisqued=False)])

    assert warning == NotBisqued(("1042-9",))
    assert "damp ware bursts" in warning.words


def test_glaze_in_a_bisque_firing_is_said_and_nothing_else_of_it():
    bisque = FireFacts("bisque", CONE_10, hold_min=0)
    raw = replace(TILE, label="1043-2", glazes=(), body_hold_min=20, is_bisqued=False)

    assert warnings_of(bisque, [RUNNER, raw]) == [GlazedInBisque(("1042-9",))]


def test_another_purpose_has_no_rules_of_glaze_or_clay():
    assert (
        warnings_of(FireFacts("other", CONE_10, 0), [replace(RUNNER, body_hold_min=20, is_bisqued=False)])
        == []
    )


@pytest.mark.parametrize(("stands", "said"), [(150, []), (151, [TooTall(150, ("1042-9",))]), (None, [])])
def test_a_tile_higher_than_the_room_above_its_shelf_is_said(stands, said):
    assert warnings_of(FIRE, [replace(TILE, stands_mm=stands, room_mm=150)]) == said


def test_a_tile_down_for_two_firings_is_said():
    assert warnings_of(FIRE, [replace(TILE, also_in="F-0230")]) == [InTwoLoads("F-0230", ("1042-9",))]


def test_a_long_list_of_tiles_is_counted_not_written_out():
    assert tile_words(["a", "b", "c", "d", "e", "f", "g"]) == "a, b, c, d, e, f and g"
    assert tile_words(list("abcdefgh")) == "a, b, c, d, e, f and 2 more"

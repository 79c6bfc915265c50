"""Factors, rules and tiles in words; gaps; blends."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.plans.blends import blend, weighed
from tiles.plans.covering import ImpossiblePlan, covering_set
from tiles.plans.factors import Factor, Plan, Rule, never_above
from tiles.plans.gaps import counted, most_telling_first, shown_by

FACTORS = (
    Factor("body", ("Quay white", "Dune speckled", "Peat dark")),
    Factor("cone", ("5", "6", "8")),
    Factor("coats", ("1", "2", "3")),
)


def test_a_body_is_never_planned_above_its_cone():
    plan = Plan(FACTORS)
    ruled = Plan(FACTORS, (never_above(plan, "body", "Dune speckled", "cone", "6"),))

    tiles = ruled.tiles_of(ruled.covering().rows)

    assert ruled.rules[0].words == "Dune speckled never above cone 6"
    assert {tile["cone"] for tile in tiles if tile["body"] == "Dune speckled"} == {"5", "6"}
    assert {tile["cone"] for tile in tiles if tile["body"] == "Peat dark"} == {"5", "6", "8"}


def test_all_combinations_leave_out_tiles_that_exist():
    plan = Plan(FACTORS)
    there = {"body": "Quay white", "cone": "6", "coats": "2", "kiln": "Oriel"}

    assert len(plan.every_tile()) == 27
    assert len(plan.every_tile([there, {**there, "cone": "10"}])) == 26


def test_a_rule_may_join_three_factors():
    rule = Rule({"body": frozenset({"Peat dark"}), "cone": frozenset({"8"}), "coats": frozenset({"2", "3"})})

    assert len(Plan(FACTORS, (rule,)).every_tile()) == 25


def test_a_rule_about_what_the_plan_has_not_is_said():
    plan = Plan(FACTORS)

    with pytest.raises(ImpossiblePlan, match="does not vary hold"):
        _ = Plan(FACTORS, (Rule({"hold": frozenset({"10"})}),)).never
    with pytest.raises(ImpossiblePlan, match="no level 12"):
        never_above(plan, "body", "Peat dark", "cone", "12")


def test_gaps_name_what_is_missing():
    shown = shown_by([(0, 0, 0), (1, 1, 0)], (2, 2, 1))

    assert (shown.shown, shown.possible) == (6, 8)
    assert shown.missing == (((0, 0), (1, 1)), ((0, 1), (1, 0)))
    assert shown.share == 0.75


def test_what_a_saved_tile_costs_rises_to_all():
    rows = covering_set([4, 3, 3, 2]).rows
    ordered = most_telling_first(rows, [4, 3, 3, 2])
    shares = [share for _, share in ordered]

    assert shares == sorted(shares)
    assert shares[-1] == 1
    assert sorted(row for row, _ in ordered) == sorted(rows)
    # The first tile shows one pair of each of the six kinds, of 12 + 12 + 8 + 9 + 6 + 6.
    assert shares[0] == pytest.approx(6 / 53)


def test_pairs_are_counted():
    assert counted([(0, 1), (0, 1), (1, 0)], 0, 1) == {(0, 1): 2, (1, 0): 1}


def test_a_line_blend_runs_from_one_glaze_to_the_other():
    mixes = blend(2, 10, 200)

    assert len(mixes) == 11
    assert [mix.percents for mix in mixes[:2]] == [(100.0, 0.0), (90.0, 10.0)]
    assert mixes[3].masses_g == (140.0, 60.0)
    assert [sum(masses) for masses in zip(*(mix.masses_g for mix in mixes), strict=True)] == [1100.0, 1100.0]


def test_a_triaxial_of_21_holds_its_corners_and_its_middle_row():
    # n + 2 over 2 points of a simplex lattice with n = 5 steps: 21 (Scheffé 1958)
    parts = [mix.parts for mix in blend(3, 5, 100)]

    assert len(parts) == len(set(parts)) == 21
    assert {(1, 0, 0), (0, 1, 0), (0, 0, 1)} <= set(parts)
    assert (Fraction(2, 5), Fraction(2, 5), Fraction(1, 5)) in parts


@given(st.integers(2, 5), st.integers(1, 7), st.integers(10, 5000), st.sampled_from([0.01, 0.1, 0.5, 1.0]))
def test_what_is_weighed_adds_up_to_the_batch_and_stays_near_the_share(glazes, steps, batch_g, to_g):
    for mix in blend(glazes, steps, batch_g, to_g=to_g):
        assert sum(mix.parts) == 1
        assert sum(mix.masses_g) == pytest.approx(batch_g, abs=1e-6)
        for part, mass_g in zip(mix.parts, mix.masses_g, strict=True):
            assert mass_g == pytest.approx(float(part) * batch_g, abs=to_g + 1e-6)


def test_thirds_are_weighed_whole():
    assert sum(weighed((Fraction(1, 3),) * 3, 100, 1)) == 100


@pytest.mark.parametrize(
    "asked", [(1, 4, 100), (6, 4, 100), (2, 0, 100), (5, 50, 100), (2, 4, 0), (2, 4, 0.01)]
)
def test_a_blend_out_of_range_is_said(asked):
    with pytest.raises(ValueError, match=r"blend takes|mixes|batch"):
        blend(*asked)

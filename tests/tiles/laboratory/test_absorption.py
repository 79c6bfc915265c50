"""Absorption from masses, and the classes of the standards at their very edges."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.laboratory import absorption
from tiles.laboratory.absorption import Masses
from tiles.vocabulary import AbsorptionMethod

MASS = st.floats(20, 500)


# ISO 13006 / EN 14411: upper end included.
@pytest.mark.parametrize(
    ("pct", "group"),
    [
        (0, "Ia"), (0.5, "Ia"), (0.51, "Ib"), (3.0, "Ib"), (3.01, "IIa"), (6.0, "IIa"), (6.01, "IIb"),
        (10.0, "IIb"), (10.01, "III"), (22, "III"),
    ],
)  # fmt: skip
def test_a_group_holds_its_upper_end(pct, group):
    assert absorption.TILE_GROUPS.of(pct).name == group


@pytest.mark.parametrize("limit", [0.5, 3, 6, 10])
@given(hundredths=st.integers(2000, 40_000))
def test_masses_exactly_on_a_limit_are_never_pushed_over_it_by_binary_figures(limit, hundredths):
    dry_g = hundredths * 2 / 100
    masses = Masses(dry_g, round(dry_g * (1 + limit / 100), 4))

    assert absorption.TILE_GROUPS.of(absorption.absorption_pct(masses)).up_to == limit


@given(MASS, st.floats(0, 0.3))
def test_the_formula_of_iso_10545_3_gives_back_what_was_taken_up(dry_g, share):
    found = absorption.absorption_pct(Masses(dry_g, dry_g * (1 + share)))

    assert found == pytest.approx(100 * share, abs=1e-9)


@given(MASS, st.floats(0.3, 0.7), st.floats(0, 0.3))
def test_pores_by_volume_are_absorption_times_bulk_density(dry_g, hung, share):
    masses = Masses(dry_g, dry_g * (1 + share), dry_g * hung)
    found = absorption.of_suspended(masses)

    expected = absorption.absorption_pct(masses) * found.bulk_g_per_cm3
    assert found.open_pores_pct == pytest.approx(expected, abs=1e-9)
    assert found.specific_gravity >= found.bulk_g_per_cm3 - 1e-9


def test_a_case_worked_by_hand():
    # D 52.31, S 30.12, M 53.46: M - D = 1.15, V = M - S = 23.34, D - S = 22.19; quotients on paper.
    found = absorption.result_of([Masses(52.31, 53.46, 30.12)], AbsorptionMethod.C373_BOIL, 0.01)

    assert found.absorption.mean == pytest.approx(2.198, abs=5e-4)
    assert found.open_pores.mean == pytest.approx(4.927, abs=5e-4)
    assert found.specific_gravity.mean == pytest.approx(2.3574, abs=5e-4)
    assert found.bulk.mean == pytest.approx(2.2412, abs=5e-4)


@pytest.mark.parametrize(
    "masses", [(0, 5), (-1, 5), (53.46, 52.31), (50, 51, 60), (50, 51, 50), (50, 49, 30)]
)
def test_masses_that_cannot_be_are_refused(masses):
    with pytest.raises(ValueError, match=r"mass|lighter|less"):
        absorption.absorption_pct(Masses(*masses))


@pytest.mark.parametrize(
    ("dry", "wet", "hung", "wrong"),
    [
        (50, 51, None, []),
        (50, 50, 30, []),
        (50, None, None, ["wet_g"]),
        (None, 51, None, ["dry_g"]),
        (51, 50, 52, ["wet_g", "suspended_g"]),
    ],
)
def test_which_mass_is_out_of_order_is_told(dry, wet, hung, wrong):
    assert [one.field for one in absorption.troubles(dry, wet, hung)] == wrong


def test_a_coarse_scale_says_so():
    # Half a step of 0.1 g in 50 g: 0.16 %, ten times what a scale of 0.01 g leaves.
    fine, coarse = (absorption.give_or_take(Masses(50, 51), step) for step in (0.01, 0.1))

    assert coarse == pytest.approx(10 * fine)
    assert 0.1 < coarse < 0.2


def test_one_piece_has_no_spread():
    # Two values 0.4 apart: sample deviation 0.4 / sqrt 2.
    assert absorption.spread_of([2.2]).deviation is None
    assert absorption.spread_of([2.0, 2.4]).deviation == pytest.approx(0.2828, abs=1e-4)


def test_pieces_in_different_groups_are_told():
    pieces = [Masses(100, 100.4), Masses(100, 100.8)]
    groups = absorption.result_of(pieces, AbsorptionMethod.ISO_VACUUM, 0.01).classed[0]

    assert (groups.of_mean.name, groups.low.name, groups.high.name) == ("Ib", "Ia", "Ib")
    assert groups.is_mixed


def test_what_was_only_soaked_is_put_in_no_class():
    assert absorption.result_of([Masses(100, 101)], AbsorptionMethod.SOAK, 0.01).classed == ()


def test_what_c373_asks_beyond_what_was_done_is_told():
    few = absorption.result_of([Masses(20, 21)], AbsorptionMethod.C373_BOIL, 0.1).short_of
    enough = absorption.result_of([Masses(60, 61)] * 5, AbsorptionMethod.C373_BOIL, 0.01).short_of

    assert few == ("1 of 5 pieces", "1 under 50 g", "weighed to 0.1 g instead of 0.01 g")
    assert enough == ()

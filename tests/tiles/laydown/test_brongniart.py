"""Solids and water of a slop, against worked examples in print."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.laydown import brongniart

GRAVITY = st.floats(1.01, 2.2)
SOLIDS = st.floats(2.3, 4.0)


# A table after a handbook for potters, solids at 2.6, printed without decimals.
@pytest.mark.parametrize(
    ("gravity", "printed"),
    [(1.2, 325), (1.3, 487), (1.4, 650), (1.45, 731), (1.5, 812), (1.6, 975), (1.7, 1137)],
)
def test_dry_glaze_per_litre_is_as_the_handbook_prints_it(gravity, printed):
    assert -1e-6 <= brongniart.dry_g_per_l(gravity, 2.6) - printed < 0.8


def test_a_litre_of_1750_g_holds_1250_g_dry_and_500_g_of_water():
    # A potters' mailing list, 1998, solids at 2.5.
    assert brongniart.dry_g_per_l(1.75, 2.5) == pytest.approx(1250, abs=0.1)


def test_fifty_millilitres_that_weigh_65_g_hold_24_g_dry():
    # A potters' mailing list, 2004, solids at 2.65: 24.09 g.
    assert brongniart.dry_g_of_wet(65, 1.3, 2.65) == pytest.approx(24.09, abs=0.01)


def test_six_grams_wet_at_145_are_three_dry():
    assert brongniart.dry_g_of_wet(6.0, 1.45, 2.6) == pytest.approx(3.026, abs=0.001)


def test_fourteen_kilos_dry_take_as_much_water_again_from_175_to_15():
    # The same list: 5.6 kg of water at 1.75 become 11.2 kg at 1.5.
    assert brongniart.water_to_thin_ml(11_200, 1.75, 1.5) == pytest.approx(5_600)


@given(GRAVITY, SOLIDS)
def test_solids_and_gravity_tell_each_other(gravity, solids):
    assert brongniart.sg_of(brongniart.dry_g_per_l(gravity, solids), solids) == pytest.approx(gravity)


@given(st.floats(10, 50_000), GRAVITY, GRAVITY, SOLIDS)
def test_thinning_loses_no_dry_glaze(volume_ml, one, other, solids):
    now, wanted = max(one, other), min(one, other)
    water_ml = brongniart.water_to_thin_ml(volume_ml, now, wanted)

    before = brongniart.dry_g_per_l(now, solids) * volume_ml
    after = brongniart.dry_g_per_l(wanted, solids) * (volume_ml + water_ml)
    assert after == pytest.approx(before)
    assert water_ml >= 0


@pytest.mark.parametrize("wanted", [1.6, 1.0, 0.9])
def test_water_never_thickens_a_slop_and_never_makes_water_of_it(wanted):
    with pytest.raises(ValueError, match="Water only thins"):
        brongniart.water_to_thin_ml(1000, 1.5, wanted)

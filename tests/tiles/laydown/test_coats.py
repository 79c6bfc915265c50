"""Coats by weight, against worked examples; how thickly each hand lays them, each tile counted once."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.laydown.coats import Hand, Weighing, dry_mg_per_cm2, layings, raw_mm
from tiles.laydown.flowcups import CUPS, viscosity_mm2_s

HAND = Hand(1, 2, "brush", "mop")


def test_six_grams_on_thirty_square_centimetres():
    """Worked: wet 6.0 g at SG 1.45, solids at 2.6, are 3.026 g dry by Brongniart's formula: 100.9 mg/cm²."""
    assert dry_mg_per_cm2(6.0, 30.0, 1.45, 2.6) == pytest.approx(100.9, rel=0.005)


def test_a_dried_coat_packed_to_one_half():
    """Worked: 100.9 mg/cm² over 2.6 g/cm³ and a packing of 0.5 is 0.776 mm; fully dense it is 0.388 to 0.420 mm."""
    assert raw_mm(100.9, 0.5, 2.6) == pytest.approx(0.776, rel=0.005)
    assert raw_mm(100.9, 1.0, 2.6) == pytest.approx(0.388, rel=0.005)
    assert raw_mm(100.9, 1.0, 2.4) == pytest.approx(0.420, rel=0.005)


@given(st.floats(0.1, 500), st.floats(0.5, 500), st.floats(1.05, 2.2))
def test_twice_the_glaze_on_the_same_tile_is_twice_as_thick(wet_g, area_cm2, gravity):
    once = raw_mm(dry_mg_per_cm2(wet_g, area_cm2, gravity))

    assert raw_mm(dry_mg_per_cm2(2 * wet_g, area_cm2, gravity)) == pytest.approx(2 * once)
    assert raw_mm(dry_mg_per_cm2(wet_g, 2 * area_cm2, gravity)) == pytest.approx(once / 2)


def weighed(tile: int, laydown: float, hand: Hand = HAND) -> Weighing:
    return Weighing(hand, tile, laydown, laydown / 500)


def test_a_tile_with_many_weighed_zones_counts_once():
    zones = [weighed(1, 30), weighed(1, 30), weighed(1, 30), weighed(2, 50), weighed(3, 40), weighed(4, 40)]

    (found,) = layings(zones)

    assert found.mean_mg_cm2 == pytest.approx(40)
    assert found.estimate.n == 4


def test_the_interval_is_students():
    """Means of 30, 40, 40, 50: s = 8.165, t(0.975, 3) = 3.182 (NIST/SEMATECH e-Handbook 1.3.6.7.2), so ± 12.99."""
    (found,) = layings([weighed(tile, one) for tile, one in enumerate((30, 40, 40, 50))])

    assert (found.estimate.low, found.estimate.high) == (
        pytest.approx(40 - 12.99, abs=0.01),
        pytest.approx(40 + 12.99, abs=0.01),
    )


def test_three_tiles_are_not_enough_to_say_how_surely():
    (found,) = layings([weighed(tile, 40) for tile in range(3)])

    assert found.estimate is None
    assert found.mm_low < found.mm < found.mm_high


def test_each_person_brush_and_glaze_stands_alone():
    hands = [HAND, HAND._replace(person=9), HAND._replace(tool="fan"), HAND._replace(glaze=7)]

    assert {one.hand for one in layings([weighed(1, 40, hand) for hand in hands])} == set(hands)


@pytest.mark.parametrize(("cup", "at_100_s"), [("ford_4", 370), ("ford_5", 1200)])
def test_ford_cups_end_where_their_standard_says(cup, at_100_s):
    """ASTM D1200 as an encyclopaedia prints it: No. 4 to 370 cSt, No. 5 to 1200 cSt, both at 100 s; nominal."""
    assert viscosity_mm2_s(cup, 100) == pytest.approx(at_100_s, rel=0.02)


@pytest.mark.parametrize("cup", CUPS)
def test_a_thicker_slop_runs_longer(cup):
    standard = CUPS[cup]
    seconds = range(int(standard.shortest_s), int(standard.longest_s) + 1)
    figures = [viscosity_mm2_s(cup, one) for one in seconds]

    assert figures == sorted(figures)
    assert figures[0] > 0


def test_beyond_a_cups_times_and_of_ones_own_cup_nothing_is_said():
    assert viscosity_mm2_s("iso_4", 12) is None
    assert viscosity_mm2_s("iso_4", 240) is None
    assert viscosity_mm2_s("other", 40) is None

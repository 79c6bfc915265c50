"""What a plan takes, added up by hand beside it."""

import pytest

from tiles.plans.laying import Coat, ZonePlace
from tiles.plans.loads import ShelfRoom
from tiles.plans.mixes import is_mix, mix_name, mixes_of, with_mixes
from tiles.plans.sketch import Mixing, Sketch
from tiles.plans.totals import WET_G_PER_CM2_COAT, FormFacts, MadeTile, totals

FORM = FormFacts(70, 110, 7, (70, 30), (ZonePlace("band 1", "band", 10.0), ZonePlace("band 2", "band", 10.0)))
TILE = MadeTile(FORM, {"band 1": (Coat("flux", 1), Coat("harbour", 2)), "band 2": (Coat("harbour", 3),)})


def test_glaze_is_area_by_coats_with_waste():
    found = totals([TILE, TILE], Sketch(waste_pct=50), glaze_firings=1)

    # Harbour lies two coats on 10 cm² and three on another 10, twice over; half more is wasted.
    assert found.glaze_g["harbour", ""] == pytest.approx(2 * 50 * WET_G_PER_CM2_COAT * 1.5)
    assert found.glaze_g["flux", ""] == pytest.approx(2 * 10 * WET_G_PER_CM2_COAT * 1.5)


def test_clay_is_the_tiles_volume_at_the_weight_of_plastic_clay():
    found = totals([TILE] * 10, Sketch(waste_pct=0), glaze_firings=1)

    # 7.0 × 11.0 × 0.7 cm is 53.9 cm³, at 1.95 g/cm³ 105 g.
    assert found.clay_kg == pytest.approx(10 * 0.1051, rel=1e-3)


def test_shelf_counts_the_room_between_neighbours():
    assert totals([TILE], Sketch(), glaze_firings=1).shelf_cm2 == pytest.approx(8 * 4)


def test_firings_days_and_cost():
    sketch = Sketch(tiles_a_day=4, days_a_firing=1.5, clay_price_kg=2, firing_price=10, waste_pct=0)
    shelves = (ShelfRoom(1, 80, 80),)

    found = totals([TILE] * 9, sketch, glaze_firings=2, shelves=shelves)

    assert found.bisque_firings == 5  # nine of 32 cm² on shelves of 64
    assert found.firings == 7
    assert found.days == 14  # three days of glazing and seven firings of a day and a half
    assert found.cost == pytest.approx(2 * found.clay_kg + 70)
    assert totals([TILE], Sketch(bisque=False), glaze_firings=1).bisque_firings == 0


def test_without_prices_no_cost_is_told():
    assert totals([TILE], Sketch(), glaze_firings=1).cost is None


def test_mixes_are_levels_of_the_glaze_with_their_corners():
    sketch = with_mixes(Sketch({"glaze": ("3",)}, mixing=Mixing(("12", "14", "16"), 2, 100)))

    assert sketch.levels["glaze"] == ("3", "12", "12:1+14:1", "12:1+16:1", "14", "14:1+16:1", "16")
    assert [level for level in sketch.levels["glaze"] if is_mix(level)] == [
        "12:1+14:1",
        "12:1+16:1",
        "14:1+16:1",
    ]
    assert mix_name("12:1+14:2", {"12": "Harbour", "14": "Lintel"}) == "Harbour 33.33 + Lintel 66.67"


def test_mixes_add_up_to_the_batch():
    for mix in mixes_of(Mixing(("1", "2", "3"), 3, 100)).values():
        assert sum(mix.masses_g) == pytest.approx(100)

"""How far a batch's readings went from the first."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from tiles.laydown.drift import BOTTOM, LEFT, RIGHT, TOP, Reading, drawing, drifts

FIRST = date(2026, 9, 1)


def day(n: int) -> date:
    return FIRST + timedelta(days=n)


def test_gravity_is_told_against_the_first_and_warned_of_beyond_the_bound():
    found = drifts(
        [Reading(day(0), 1.45), Reading(day(9), 1.47), Reading(day(20), 1.471), Reading(day(30), 1.425)]
    )

    assert [one.sg for one in found] == [0, 0.02, 0.021, -0.025]
    assert [one.warnings for one in found] == [
        (), (), ("SG is 0.021 above the first",), ("SG is 0.025 below the first",),
    ]  # fmt: skip


def test_flow_times_are_compared_by_the_same_cup_only():
    found = drifts(
        [
            Reading(day(0), flow_s=20, cup="iso_6"),
            Reading(day(1), flow_s=60, cup="iso_4"),
            Reading(day(2), flow_s=25, cup="iso_6"),
        ]
    )

    assert [one.flow_pct for one in found] == [0, 0, 25]
    assert found[2].warnings == ("flow time is 25 % longer than the first",)


def test_a_warm_slop_is_not_compared_with_a_cold_one():
    cold, warm = (
        Reading(day(0), flow_s=30, cup="iso_6", temp_c=12),
        Reading(day(1), flow_s=20, cup="iso_6", temp_c=20),
    )

    assert drifts([cold, warm])[1].flow_pct is None


@given(st.lists(st.tuples(st.integers(0, 900), st.floats(1.01, 2.4)), min_size=2, max_size=30))
def test_every_reading_lies_within_the_drawing_and_only_those_out_of_the_band_stand_out(taken):
    values = [(day(n), gravity) for n, gravity in sorted(taken)]
    drawn = drawing("SG", values, bound=0.02, decimals=3)

    assert drawn is not None
    assert len(drawn.dots) == len(values)
    for dot, (_, value) in zip(drawn.dots, values, strict=True):
        assert LEFT <= dot.x <= RIGHT
        assert TOP <= dot.y <= BOTTOM
        assert dot.beyond == (abs(value - values[0][1]) > 0.02 + 1e-9)


def test_one_reading_is_no_drawing():
    assert drawing("SG", [(FIRST, 1.45)], bound=0.02, decimals=3) is None

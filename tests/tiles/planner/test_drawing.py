"""The curve of what each tile saved costs."""

from hypothesis import given
from hypothesis import strategies as st

from tiles.planner.drawing import milestones, trade_off

CURVES = st.lists(st.floats(0, 1), min_size=1, max_size=120).map(sorted)


@given(CURVES, st.data())
def test_all_of_it_lies_within_the_drawing(curve, data):
    made = data.draw(st.integers(0, len(curve)))

    drawn = trade_off(curve, 0.0, made)

    for mark in (*drawn.across, *drawn.upwards, drawn.made):
        assert 0 <= mark.x <= drawn.width
        assert 0 <= mark.y <= drawn.height
    assert drawn.across[-1].words == str(len(curve)) or len(curve) - int(drawn.across[-1].words) < len(curve)
    assert len(drawn.across) <= 7


@given(CURVES)
def test_milestones_name_the_first_tile_that_gets_there(curve):
    for count, share in milestones(curve):
        assert share == curve[count - 1]
        assert count == 1 or any(curve[count - 2] < asked - 1e-9 <= share for asked in (0.5, 0.75, 0.9, 1.0))

"""The drawing of a programme: time runs forwards, all within the field, cones at their published places."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.heatwork.predict import KilnFigures
from firings.programmes.drawing import NARROW, SMALL, WIDE, draw
from firings.programmes.segments import Segment, Unit, read

C, F = Unit.CELSIUS, Unit.FAHRENHEIT
SIZES = [WIDE, NARROW, SMALL]
rates = st.one_of(st.none(), st.floats(0.1, 5000))
programmes = st.lists(
    st.builds(Segment, rates, st.floats(0, 1800), st.integers(0, 6000).map(float)), min_size=1, max_size=8
)


def strokes(drawing):
    return drawing.lines[0].strokes


@given(programmes, st.sampled_from(SIZES), st.sampled_from(Unit))
def test_any_programme_is_drawn_within_its_field_and_time_runs_forwards(programme, size, unit):
    drawing = draw([programme], size, unit)
    drawn = strokes(drawing)

    assert all(before.x2 == after.x1 for before, after in itertools.pairwise(drawn))
    assert all(stroke.x1 <= stroke.x2 for stroke in drawn)
    assert all(size.left - 0.1 <= stroke.x2 <= drawing.edge + 0.1 for stroke in drawn)
    assert all(size.top - 0.1 <= stroke.y2 <= drawing.floor + 0.1 for stroke in drawn)


@given(programmes)
def test_words_on_a_scale_never_touch(programme):
    drawing = draw([programme], NARROW, C)
    heights = [mark.y for mark in drawing.cones]

    assert all(after - before >= NARROW.apart for before, after in itertools.pairwise(heights))
    assert len(drawing.hours) <= NARROW.most_hours + 1


def test_a_ramp_a_hold_and_as_fast_as_possible_are_told_apart():
    drawn = strokes(draw([read("fast:100, 60:1222:10")], WIDE, C))

    assert [stroke.kind for stroke in drawn] == ["fast", "ramp", "hold"]


def test_cone_6_stands_where_60_degrees_an_hour_bring_it_down():
    # Orton Foundation, chart of self-supporting cones, 2016: cone 6 at 60 °C/h ends at 1222 °C
    drawing = draw([read("60:1222")], WIDE, C)
    place = next(mark.y for mark in drawing.cones if mark.words == "6")

    assert place == strokes(drawing)[-1].y2


def test_the_last_hundred_degrees_and_the_top_are_shown():
    drawing = draw([read("100:1120, 50:1220:60")], WIDE, C)
    begins, width = drawing.last_part
    ramp, hold = strokes(drawing)[1:]

    assert begins == pytest.approx(ramp.x1, abs=0.1)
    assert begins + width == pytest.approx(hold.x2, abs=0.1)


def test_both_units_draw_the_same_shape_with_their_own_scale():
    celsius, fahrenheit = (draw([read("60:1222")], WIDE, unit) for unit in (C, F))

    assert celsius.degrees[-1].words == "1200"
    assert fahrenheit.degrees[-1].words == "2000"
    assert fahrenheit.lines[0].peak.words == "2231.6 °F"


def test_two_programmes_share_their_scales():
    short, long = read("150:1222"), read("60:1222")
    drawing = draw([short, long], WIDE, C)

    assert drawing.lines[0].end.x < drawing.lines[1].end.x
    assert drawing.lines[0].end.y == drawing.lines[1].end.y
    assert drawing.last_part is None


def test_a_kilns_own_pace_is_drawn():
    slow = draw([read("fast:1000")], WIDE, C, KilnFigures(fastest_rise_c_per_h=98.0))

    assert slow.lines[0].end.words == "10 h"


def test_nothing_cannot_be_drawn():
    with pytest.raises(ValueError, match="needs a segment"):
        draw([[]], WIDE, C)

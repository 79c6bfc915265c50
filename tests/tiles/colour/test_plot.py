"""The a*b* plane drawn: red to the right, yellow up, crowds gathered, none lost."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tiles.colour.plot import MOST_DOTS, SIDE, Window, plot

LABS = arrays(float, st.tuples(st.integers(1, 30), st.just(3)), elements=st.floats(0, 100, width=16))


def test_red_lies_right_and_yellow_up():
    red, green, yellow, blue = plot([(50, 40, 0), (50, -40, 0), (50, 0, 40), (50, 0, -40)]).dots

    assert red.x > green.x
    assert yellow.y < blue.y
    assert red.shown != green.shown


@given(LABS)
def test_every_colour_lies_on_the_map(labs):
    found = plot([tuple(lab) for lab in labs])

    assert sum(dot.count for dot in found.dots) == len(labs)
    assert found.left_out == 0
    assert all(0 <= dot.x <= SIDE and 0 <= dot.y <= SIDE for dot in found.dots)


def test_crowds_are_gathered_and_none_is_lost():
    labs = np.random.default_rng(1).normal((50, 0, 0), 15, (5000, 3))
    found = plot([tuple(lab) for lab in labs])

    assert len(found.dots) < 800
    assert sum(dot.count for dot in found.dots) == 5000
    crowd = max(found.dots, key=lambda dot: dot.count)
    closer = plot([tuple(lab) for lab in labs], crowd.window)
    assert sum(dot.count for dot in closer.dots) >= crowd.count
    assert closer.left_out + sum(dot.count for dot in closer.dots) == 5000


def test_few_enough_stay_single():
    found = plot([(50, place / 10, 0) for place in range(MOST_DOTS)])

    assert all(dot.count == 1 for dot in found.dots)


def test_what_lies_outside_a_window_is_counted():
    found = plot([(50, 0, 0), (50, 50, 0)], Window(0, 0, 20))

    assert (len(found.dots), found.left_out) == (1, 1)


def test_the_grid_has_its_noughts():
    found = plot([(50, -20, -20), (50, 20, 20)])

    assert [tick.label for tick in found.across if tick.is_zero] == ["0"]
    assert any(tick.label == "−20" for tick in found.down)

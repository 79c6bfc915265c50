"""Which evidence decides the reached cone, and what witness cones say."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.cones import series
from firings.heatwork import witness
from firings.heatwork.reached import Evidence, reached_by
from firings.vocabulary import ReachedSource

ORDERS = st.sampled_from([cone.order for cone in series.cones() if cone.is_whole])


def test_witness_cones_outrank_curve_controller_and_target():
    evidence = Evidence(Decimal("5.8"), Decimal("6.1"), Decimal("6"), Decimal("6"))

    reached = reached_by(evidence)

    assert reached is not None
    assert (reached.number, series.label_of(reached.order), reached.source) == (
        Decimal("5.8"),
        "6",
        ReachedSource.WITNESS,
    )


def test_between_two_cones_a_firing_counts_as_the_one_it_was_meant_for():
    def counted(reached, meant):
        return series.label_of(reached_by(Evidence(Decimal(reached), target=meant)).order)

    fifth, half, sixth = Decimal(5), Decimal("5.5"), Decimal(6)

    assert [counted("5.6", meant) for meant in (fifth, half, sixth, None)] == ["5", "5½", "6", "6"]
    assert [counted("5.4", meant) for meant in (fifth, half, sixth, None)] == ["5", "5½", "6", "5"]
    assert [counted("5.8", meant) for meant in (fifth, half, sixth, None)] == ["6"] * 4
    assert [counted("6.6", meant) for meant in (fifth, sixth)] == ["7", "6"]
    assert [counted("-3.4", meant) for meant in (Decimal(-3), Decimal(-4))] == ["04", "05"]


@given(
    number=st.decimals(-17, 14, places=2),
    meant=st.none() | st.sampled_from([cone.number for cone in series.cones()]),
)
def test_no_firing_counts_as_a_cone_further_than_one_from_what_it_reached(number, meant):
    order = reached_by(Evidence(number, target=meant)).order
    whole = series.nearest_whole(number)

    assert abs(series.of_order(order).number - number) < 1
    assert order == whole.order or series.of_order(order).number == meant


def test_each_source_stands_in_for_the_better_one_that_is_missing():
    assert reached_by(Evidence(None, Decimal(5), Decimal(6), Decimal(7))).source is ReachedSource.CURVE
    assert reached_by(Evidence(None, None, Decimal(6), Decimal(7))).source is ReachedSource.CONTROLLER
    assert reached_by(Evidence(None, None, None, Decimal(7))).source is ReachedSource.TARGET
    assert reached_by(Evidence()) is None


@pytest.mark.parametrize(
    ("readings", "number"),
    [
        # guide down, target most of the way, guard upright (common practice: sets of three)
        ([(28, 90), (30, 72), (31, 0)], "5.8"),
        ([(28, 90), (30, 90), (31, 0)], "6"),
        ([(28, 90), (30, 95), (31, 45)], "6.5"),
        ([(30, 45)], "5.5"),
        # the half cone counts by its place between 5 and 6
        ([(28, 90), (29, 45)], "5.25"),
        ([(19, 90), (20, 45)], "-3.5"),
    ],
)
def test_witness_cones_are_read_by_their_bend(readings, number):
    assert witness.decimal_cone(readings) == Decimal(number)


def test_cones_that_did_not_move_say_nothing():
    assert witness.decimal_cone([]) is None
    assert witness.decimal_cone([(30, 0), (31, 5)]) is None


@given(ORDERS, st.integers(witness.MOVED_DEG, 179))
def test_more_bend_never_reads_cooler(order, bend):
    assert witness.decimal_cone([(order, bend + 1)]) >= witness.decimal_cone([(order, bend)])

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

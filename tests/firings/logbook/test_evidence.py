"""What witness cones say together."""

from decimal import Decimal

from firings.logbook.evidence import by_place, witness_number
from firings.logbook.facts import WitnessReading

CONE_5, CONE_6, CONE_7 = 28, 30, 31


def cone(order, bend, shelf=1, place=""):
    return WitnessReading(order, "self_supporting", shelf, place, bend)


def test_a_pack_of_three_reads_between_the_guide_and_the_target():
    # guide down, target at 72° of 90°, guard upright: 0.8 of the way from 5 to 6 (linear share, no published relation)
    assert witness_number([cone(CONE_5, 90), cone(CONE_6, 72), cone(CONE_7, 0)]) == Decimal("5.80")


def test_each_place_counts_once_however_many_cones_stood_there():
    low = [cone(CONE_6, 90, shelf=1)]
    high = [cone(CONE_5, 90, shelf=3), cone(CONE_6, 45, shelf=3)]

    assert witness_number(low + high) == (Decimal(6) + Decimal("5.5")) / 2


def test_the_same_place_in_capitals_is_the_same_place():
    found = by_place([cone(CONE_5, 90, place="front"), cone(CONE_6, 45, place="Front")])

    assert list(found.values()) == [Decimal("5.5")]


def test_unread_and_upright_cones_say_nothing():
    assert witness_number([cone(CONE_6, None), cone(CONE_7, 0)]) is None


def test_no_cone_says_nothing():
    assert witness_number([]) is None

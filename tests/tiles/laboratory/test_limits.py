"""The published limits, and a figure set beside one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.laboratory.limits import RULES, Against, Figure, Limit, against, limit_of
from tiles.vocabulary import LeachRule, LeachUnit

# Directive 84/500/EEC, article 2(4): lead, cadmium.
EU = [
    ("eu_flat", 0.8, 0.07, "mg_per_dm2"),
    ("eu_filled", 4.0, 0.3, "mg_per_l"),
    ("eu_cooking", 1.5, 0.1, "mg_per_l"),
]
# FDA Food Code 4-101.13 (lead) and Compliance Policy Guide 545.400 (cadmium).
US = [
    ("us_flat", 3.0, 0.5, "mg_per_l"),
    ("us_small", 2.0, 0.5, "mg_per_l"),
    ("us_large", 1.0, 0.25, "mg_per_l"),
    ("us_cups", 0.5, None, "mg_per_l"),
]
# California consent agreement: lead only.
CALIFORNIA = [("ca_flat", 0.226, None, "mg_per_l"), ("ca_other", 0.1, None, "mg_per_l")]


@pytest.mark.parametrize(("rule", "lead", "cadmium", "unit"), [*EU, *US, *CALIFORNIA])
def test_limits_are_as_published(rule, lead, cadmium, unit):
    found = {one.element: (one.amount, one.unit) for one in RULES[rule].limits}

    assert found == {"Pb": (lead, unit)} | ({} if cadmium is None else {"Cd": (cadmium, unit)})


def test_every_limit_names_its_source_its_date_and_whose_it_is():
    for rule in RULES.values():
        assert rule.jurisdiction
        assert rule.ware
        assert all(one.source and one.dated for one in rule.limits)


def test_every_rule_but_the_reports_own_has_limits():
    assert set(RULES) == set(LeachRule) - {LeachRule.REPORT}


def test_a_rule_names_nothing_for_what_it_does_not_count():
    assert limit_of("eu_flat", "Cu") is None
    assert limit_of("report", "Pb") is None
    assert against(Figure("Cu", 3.0, "mg_per_l"), None) is Against.NONE


@given(st.integers(1, 9999), st.integers(1, 9999))
def test_a_figure_lies_below_at_or_above(measured, limit):
    named = Limit("Pb", limit / 1000, "mg_per_l", "a source", "a date")
    found = against(Figure("Pb", measured / 1000, "mg_per_l"), named)

    expected = {-1: Against.BELOW, 0: Against.AT, 1: Against.ABOVE}[(measured > limit) - (measured < limit)]
    assert found is expected


@given(st.integers(1, 9999), st.integers(1, 9999))
def test_less_than_says_nothing_of_a_limit_below_it(least, limit):
    named = Limit("Pb", limit / 1000, "mg_per_l", "a source", "a date")
    found = against(Figure("Pb", least / 1000, "mg_per_l", is_less=True), named)

    assert found is (Against.BELOW if least <= limit else Against.UNTOLD)


@pytest.mark.parametrize("unit", list(LeachUnit))
def test_a_figure_by_volume_is_never_set_beside_a_limit_by_area(unit):
    other = next(one for one in LeachUnit if one != unit)

    assert (
        against(Figure("Pb", 0.001, unit), Limit("Pb", 4, other, "a source", "a date")) is Against.OTHER_UNIT
    )

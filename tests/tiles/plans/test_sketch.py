"""A plan kept as JSON comes back as it was; rules in plain words."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.plans.sketch import FACTORS, RISING, Mixing, NeverRule, Sketch, UnreadablePlan, in_order

CONES = ("29", "30", "32", "34")


@pytest.mark.parametrize(
    ("verb", "ruled_out"),
    [("with", {"30"}), ("above", {"32", "34"}), ("below", {"29"})],
)
def test_a_rule_rules_out_cones(verb, ruled_out):
    assert NeverRule("body", "3", verb, "cone", "30").never_levels(CONES) == ruled_out


def test_a_rule_may_name_a_cone_that_the_plan_has_not():
    assert NeverRule("body", "3", "above", "cone", "31").never_levels(CONES) == {"32", "34"}


@given(
    st.dictionaries(st.sampled_from(FACTORS), st.lists(st.integers(0, 99).map(str), unique=True, max_size=5)),
    st.sampled_from(["all", "pairs", "threes"]),
    st.integers(0, 10**6),
)
def test_what_is_kept_comes_back(levels, way, seed):
    sketch = Sketch(
        levels=in_order(levels),
        rules=(NeverRule("body", "3", "above", "cone", "30"),),
        mixing=Mixing(("1", "2"), 4, 100.0),
        way=way,
        seed=seed,
        most=12,
    )

    assert Sketch.from_json(json.loads(json.dumps(sketch.as_json()))) == sketch


@given(st.dictionaries(st.sampled_from(RISING), st.lists(st.integers(0, 99).map(str), max_size=6)))
def test_rising_levels_rise(levels):
    for names in in_order(levels).values():
        assert list(names) == sorted(set(names), key=int)


def test_a_series_without_plan_starts_empty():
    assert Sketch.from_json({}) == Sketch()


@pytest.mark.parametrize(
    "kept", [{"version": 2}, {"levels": {}}, {"version": 1}, {"version": 1, "mixing": 3}]
)
def test_a_plan_that_cannot_be_read_says_so(kept):
    with pytest.raises(UnreadablePlan, match="plan"):
        Sketch.from_json(kept)

"""One change apart: exactly one condition differs, and which."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import CONE_5, CONE_6, CONE_10
from tests.tiles.conditions.test_words import CONDITIONS, FLUX, HARBOUR
from tiles.conditions.apart import Condition, Level, difference, differing, rows, stack_difference
from tiles.conditions.facts import LayerFacts

PEAT = LayerFacts(15, "Peat", None, "", "brush", 2, None)
DIPPED = replace(HARBOUR, method="dip", coats=None, dip_s=Decimal("3.0"))
ALONE = replace(CONDITIONS, layers=(HARBOUR,))


@pytest.mark.parametrize(
    ("changed", "condition", "words"),
    [
        ({"reached_order": CONE_5}, Condition.CONE, "5"),
        ({"body_id": 3, "body": "Peat dark"}, Condition.BODY, "Peat dark"),
        ({"atmosphere": "reduction"}, Condition.ATMOSPHERE, "reduction"),
        ({"hold_min": 0}, Condition.HOLD, "none"),
        ({"kiln": "Wren"}, Condition.KILN, "Wren"),
        ({"textured": True}, Condition.TEXTURE, "textured"),
        ({"form": "L tile"}, Condition.FORM, "L tile"),
        ({"firing_count": 2}, Condition.FIRINGS, "2 times"),
        ({"layers": (FLUX, replace(HARBOUR, coats=2))}, Condition.COATS, "×2"),
        ({"layers": (FLUX, replace(HARBOUR, batch_id=9, lot="25-001"))}, Condition.LOT, "25-001"),
        ({"layers": (FLUX, DIPPED)}, Condition.METHOD, "dipped"),
        ({"layers": (FLUX, HARBOUR, PEAT)}, Condition.OVER, "Peat ×2"),
        ({"layers": (FLUX,)}, Condition.OVER, "nothing"),
        ({"layers": (FLUX, PEAT)}, Condition.OVER, "Peat ×2"),
        ({"layers": (PEAT, FLUX, HARBOUR)}, Condition.UNDER, "Peat ×2"),
        ({"layers": (HARBOUR,)}, Condition.UNDER, "nothing"),
        ({"layers": (PEAT, HARBOUR)}, Condition.UNDER, "Peat ×2"),
    ],
)
def test_one_change_is_named(changed, condition, words):
    theirs = replace(CONDITIONS, **changed)
    change = difference(CONDITIONS, theirs)

    assert (change.condition, change.theirs.words) == (condition, words)
    assert difference(theirs, CONDITIONS).condition == condition
    assert differing(CONDITIONS, theirs) == (condition,)


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"place": "back left", "shelf": 1, "firing": "F-0099", "zone": "back", "target_order": CONE_5},
        {"reached_order": CONE_10, "hold_min": 0},
        {"layers": (replace(FLUX, coats=2), replace(HARBOUR, coats=2))},
        {"layers": (FLUX, replace(HARBOUR, coats=2, batch_id=9))},
        {"layers": (PEAT, FLUX, HARBOUR, PEAT)},
        {"layers": (HARBOUR, FLUX)},
        {"layers": ()},
        {"layers": (HARBOUR,), "kiln": "Wren"},
    ],
)
def test_none_or_more_changes_are_not_one(changed):
    assert difference(CONDITIONS, replace(CONDITIONS, **changed)) is None


def test_another_glaze_alone_is_another_stack():
    assert differing(ALONE, replace(ALONE, layers=(PEAT,))) == (Condition.STACK,)


layers = st.lists(
    st.builds(
        LayerFacts,
        st.integers(1, 2),
        st.just("Glaze"),
        st.sampled_from([None, 5]),
        st.just(""),
        st.sampled_from(["brush", "spray"]),
        st.integers(1, 2),
        st.none(),
    ),
    max_size=3,
)


def brute_force(mine, theirs):
    """Whether one stack becomes the other by one step, by trying every step there is."""

    def steps(stack):
        for place, layer in enumerate(stack):
            for change in (
                {"coats": 3 - layer.coats},
                {"method": "spray" if layer.method == "brush" else "brush"},
                {"batch_id": None if layer.batch_id else 5},
            ):
                yield [*stack[:place], replace(layer, **change), *stack[place + 1 :]]
        for layer in theirs:
            yield [*stack, layer]
            yield [layer, *stack]
            if len(stack) > 1 and stack[-1].glaze_id != layer.glaze_id:
                yield [*stack[:-1], layer]
            if len(stack) > 1 and stack[0].glaze_id != layer.glaze_id:
                yield [layer, *stack[1:]]
        if len(stack) > 1:
            yield stack[:-1]
            yield stack[1:]

    return any(step == theirs for step in steps(mine))


@given(layers, layers)
def test_stacks_one_step_apart_are_found_and_no_others(mine, theirs):
    found = stack_difference(mine, theirs)

    if mine and theirs and mine != theirs:
        assert (found is not None) == brute_force(mine, theirs)
    back = stack_difference(theirs, mine)
    assert (found is None) == (back is None)
    if found:
        assert (found.condition, found.mine, found.theirs) == (back.condition, back.theirs, back.mine)


def test_rows_stand_in_the_order_of_the_condition_with_this_one_marked():
    others = [
        (1, replace(CONDITIONS, reached_order=CONE_10)),
        (2, replace(CONDITIONS, reached_order=CONE_5)),
        (3, replace(CONDITIONS, reached_order=CONE_5)),
        (4, replace(CONDITIONS, layers=(FLUX, replace(HARBOUR, coats=1)))),
        (5, replace(CONDITIONS, hold_min=0, kiln="Wren")),
    ]
    cone, coats = rows(CONDITIONS, others)

    assert [(place.level.words, place.is_this, place.keys) for place in cone.places] == [
        ("5", False, (2, 3)),
        ("6", True, ()),
        ("10", False, (1,)),
    ]
    assert (cone.title, coats.title) == ("cone", "coats of Harbour")
    assert [place.level.words for place in coats.places] == ["×1", "×3"]


def test_levels_no_one_fired_are_offered_to_plan():
    offered = {Condition.CONE: [Level(CONE_5, "5"), Level(CONE_6, "6"), Level(CONE_10, "10")]}
    (cone,) = rows(CONDITIONS, [(1, replace(CONDITIONS, reached_order=CONE_10))], offered)

    assert [(place.level.words, place.keys) for place in cone.places] == [("5", ()), ("6", ()), ("10", (1,))]
    assert [place.is_this for place in cone.places] == [False, True, False]


@pytest.mark.parametrize(
    ("changed", "title"),
    [
        ((FLUX, PEAT), "over Flux L"),
        ((FLUX, HARBOUR, PEAT), "over it"),
        ((PEAT, HARBOUR), "under Harbour"),
        ((PEAT, FLUX, HARBOUR), "under it"),
        ((replace(FLUX, method="spray"), HARBOUR), "Flux L put on"),
    ],
)
def test_a_row_says_over_or_under_what(changed, title):
    (row,) = rows(CONDITIONS, [(1, replace(CONDITIONS, layers=changed))])

    assert row.title == title

"""Rows side by side, against a second way of telling what differs."""

import dataclasses
from datetime import date
from decimal import Decimal
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from firings.vocabulary import Atmosphere, ReachedSource
from tiles.compare import facts
from tiles.compare.facts import Seen, condition_rows, differing_words, seen_rows, shared_words
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.vocabulary import FlawKind, Method, Severity, Surface

HARBOUR = LayerFacts(1, "Harbour", 7, "24-118", "brush", 3, None)
FLUX = LayerFacts(2, "Flux L", None, "", "brush", 1, None)

layers = st.builds(
    LayerFacts,
    glaze_id=st.integers(1, 2),
    glaze=st.sampled_from(["Harbour", "Flux L"]),
    batch_id=st.none(),
    lot=st.sampled_from(["", "24-118"]),
    method=st.sampled_from(Method.values()),
    coats=st.integers(1, 3),
    dip_s=st.none(),
)
conditions = st.builds(
    Conditions,
    zone=st.sampled_from(["band 1", "back"]),
    textured=st.booleans(),
    layers=st.lists(layers, min_size=1, max_size=2).map(tuple),
    body_id=st.just(1),
    body=st.sampled_from(["Dune speckled", "Tern"]),
    form=st.just("Board tile"),
    firing=st.sampled_from(["F-0231", "F-0232"]),
    target_order=st.sampled_from([None, 28, 30]),
    reached_number=st.sampled_from([None, Decimal("5.80"), Decimal("6.00")]),
    reached_order=st.just(30),
    reached_source=st.sampled_from(ReachedSource.values()),
    atmosphere=st.sampled_from(Atmosphere.values()),
    hold_min=st.sampled_from([0, 10]),
    kiln=st.sampled_from(["Oriel", "Bellows"]),
    shelf=st.sampled_from([None, 3]),
    place=st.sampled_from(["", "front"]),
    fired_on=st.sampled_from([date(2026, 10, 14), date(2026, 11, 2)]),
    firing_count=st.integers(1, 2),
)


def one(**changes) -> Conditions:
    usual = {
        "zone": "band 3",
        "textured": False,
        "layers": (FLUX, HARBOUR),
        "body_id": 1,
        "body": "Dune speckled",
        "form": "Board tile",
        "firing": "F-0231",
        "target_order": 30,
        "reached_number": Decimal("5.80"),
        "reached_order": 30,
        "reached_source": "witness",
        "atmosphere": "oxidation",
        "hold_min": 10,
        "kiln": "Oriel",
        "shelf": 3,
        "place": "front",
        "fired_on": date(2026, 10, 14),
        "firing_count": 1,
    }
    return Conditions(**(usual | changes))


# What each row is read from, told again without the rows' own code.
READ_FROM = {
    "clay body": lambda it: it.body,
    "texture": lambda it: it.textured,
    "target cone": lambda it: it.target_order,
    "reached cone": lambda it: it.reached_number,
    "atmosphere": lambda it: it.atmosphere,
    "hold": lambda it: it.hold_min,
    "kiln": lambda it: it.kiln,
    "shelf": lambda it: it.shelf,
    "place in the kiln": lambda it: it.place,
    "firing of the tile": lambda it: it.firing_count,
    "lot": lambda it: [(layer.glaze, layer.lot) for layer in it.layers if layer.lot],
    "stack": lambda it: [(layer.glaze, layer.coats) for layer in it.layers],
    "zone": lambda it: it.zone,
    "firing": lambda it: it.firing,
    "fired on": lambda it: it.fired_on,
    "cone read from": lambda it: it.reached_source,
}


@given(results=st.lists(conditions, min_size=2, max_size=8))
def test_a_row_differs_where_two_results_do(results):
    rows = {"stack" if row.name == "coats" else row.name: row for row in condition_rows(results)}

    for name, read in READ_FROM.items():
        assert rows[name].differs == any(read(a) != read(b) for a, b in combinations(results, 2)), name
    assert all(len(row.values) == len(results) for row in rows.values())


@given(results=st.lists(conditions, min_size=2, max_size=8))
def test_what_differs_is_named_and_what_is_shared_is_said_never_both(results):
    rows = condition_rows(results)[: len(facts.CONDITIONS)]
    differing, shared = differing_words(results), shared_words(results)

    for row in rows:
        if row.differs:
            assert row.name in differing
    for word, read in (("on Dune speckled", "clay body"), ("kiln Oriel", "kiln"), ("10 min hold", "hold")):
        row = next(row for row in rows if row.name == read)
        said = row.values[0] in ("Dune speckled", "Oriel", "10 min") and not row.differs
        assert (word in shared) == said


@given(results=st.lists(conditions, min_size=2, max_size=8))
def test_the_order_of_the_results_changes_nothing_but_the_order_of_the_values(results):
    forwards, backwards = condition_rows(results), condition_rows(results[::-1])

    assert [row.values for row in backwards] == [row.values[::-1] for row in forwards]
    assert differing_words(results) == differing_words(results[::-1])
    assert shared_words(results) == shared_words(results[::-1])


def test_what_all_share_is_said_in_one_sentence():
    other = one(layers=(HARBOUR,), zone="back")

    assert differing_words([one(), other]) == "They differ in stack."
    assert shared_words([one(), other]) == (
        "Both: brushed, lot of Harbour 24-118, on Dune speckled, smooth clay, target cone 6, reached 5.8, oxidation, "
        "10 min hold, kiln Oriel, shelf 3, front, F-0231."
    )


def test_the_same_glazes_in_other_coats_differ_in_coats():
    """A stack holds both; who counts coats looks for that word. The same stack is still called one."""
    more = one(layers=(FLUX, dataclasses.replace(HARBOUR, coats=2)))

    assert differing_words([one(), more]) == "They differ in coats."
    assert condition_rows([one(), one()])[0].name == "stack"


def test_the_same_conditions_again_say_so():
    again = one(firing="F-0232", fired_on=date(2026, 11, 2))

    assert differing_words([one(), one()]) == "Same conditions in everything written down."
    assert differing_words([one(), again]) == "Same conditions; they differ only in firing and fired on."


def test_a_lot_that_was_not_written_down_may_be_another():
    unknown = LayerFacts(1, "Harbour", None, "", "brush", 3, None)

    assert "lot" in differing_words([one(layers=(HARBOUR,)), one(layers=(unknown,))])


def test_what_nobody_judged_makes_no_difference():
    judged = Seen(
        True, surface=Surface.SATIN.value, flaws=((FlawKind.PINHOLING.value, Severity.SLIGHT.value),)
    )
    without = Seen(True, surface=Surface.SATIN.value)
    rows = {row.name: row for row in seen_rows([judged, without, Seen()])}

    assert not rows["surface"].differs
    assert rows["pinholing"].values == ("slight", "none", "")
    assert rows["pinholing"].differs
    assert "run" not in rows


@given(values=st.lists(st.sampled_from(["5", "6", ""]), min_size=2, max_size=8))
def test_what_stands_out_is_what_most_do_not_say(values):
    row = facts.Row("cone", tuple(values))
    most = next((value for value in values if values.count(value) > len(values) / 2), None)
    standing_out = [value for value, stands_out in row.cells if stands_out]

    assert standing_out == ([value for value in values if value != most] if row.differs else [])

"""A question in words: what is understood of it, what is left open, and that nothing is taken for anything silently."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles.answers.typed import Clay, Names, read_question, tokens_of

NAMES = Names(
    glazes={1: "Harbour", 2: "Flux L", 3: "Lintel White", 4: "Still Water", 5: "Two Coats Deep"},
    clays={
        1: Clay("Porch White", "white"),
        2: Clay("Dune", "buff", is_speckled=True),
        3: Clay("Barn Red", "red"),
        4: Clay("Cellar", "dark"),
        5: Clay("Loft", "white"),
    },
)


def asked(text):
    return read_question(text, NAMES).asked


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("Harbour, Dune, cone 6, 2 coats", {"glaze": "1", "body": "2", "cone": "6", "coats": "2"}),
        (
            "What does Harbour do on my dark clay at cone six with two coats?",
            {"glaze": "1", "body": "4", "cone": "6", "coats": "2"},
        ),
        ("harbour ^06 x3 over flux l", {"glaze": "1", "cone": "06", "coats": "3", "over": "2"}),
        ("Flux L + Harbour on Barn Red", {"glaze": "1", "over": "2", "body": "3"}),
        ("harbour on flux l c5½", {"glaze": "1", "over": "2", "cone": "5½"}),
        ("Harbour under Still Water, reduction", {"glaze": "1", "under": "4", "atmosphere": "reduction"}),
        ("Harbour, no hold", {"glaze": "1", "hold": "0"}),
        ("Harbour, without a hold, cone 5 1/2", {"glaze": "1", "hold": "0", "cone": "5½"}),
        ("Harbour 10 min hold", {"glaze": "1", "hold": "10"}),
        ("Two coats deep, 3 coats", {"glaze": "5", "coats": "3"}),
        ("", {}),
        ("???", {}),
    ],
)
def test_a_question_in_a_testers_words_is_understood(text, meant):
    found = read_question(text, NAMES)

    assert found.asked == meant
    assert found.open == []


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("5.6", ["5", "6"]), ("1.20", ["1", "2"]), ("6.0", ["6"]), ("99.3", []), ("0.3", [])],
)
def test_a_cone_between_two_is_left_open_with_both_and_never_cut_to_the_lower(typed, offered):
    found = read_question(f"Harbour, cone {typed}", NAMES)

    assert found.asked == {"glaze": "1"}
    assert [one.typed for one in found.open] == [f"cone {typed}"]
    assert [one.value for one in found.open[0].offers] == offered


def test_a_beginning_or_a_slip_is_taken_only_where_one_name_can_be_meant_and_is_said():
    found = read_question("harbuor on barn", NAMES)
    several = read_question("white", NAMES)

    assert found.asked == {"glaze": "1", "body": "3"}
    assert found.read_as == [("harbuor", "Harbour"), ("barn", "Barn Red")]
    assert several.asked == {}
    assert {(one.name, one.words) for one in several.open[0].offers} == {
        ("glaze", "Lintel White"),
        ("body", "Porch White"),
    }


def test_a_clay_by_its_colour_is_one_clay_or_a_choice():
    dark, white, brown = (read_question(f"Harbour, {hue} clay", NAMES) for hue in ("dark", "white", "brown"))

    assert dark.asked["body"] == "4"
    assert dark.read_as == [("dark clay", "Cellar, the only one here")]
    assert [one.words for one in white.open[0].offers] == ["Loft", "Porch White"]
    assert "body" not in brown.asked
    assert len(brown.open[0].offers) == 5


@pytest.mark.parametrize(
    ("text", "open_words"),
    [
        ("Harbour, 6", "6"),
        ("Harbour, cone 99", "cone 99"),
        ("Harbour, 0 coats", "0 coats"),
        ("Harbour, cone", "cone"),
        ("Harbour, cone 6, cone 7", "cone 7"),
        ("Harbour, shiny", "shiny"),
        ("Harbour, will it run over that one", "over"),
        ("Harbour Flux L", "Flux L"),
    ],
)
def test_what_is_not_understood_is_said_and_the_rest_stands(text, open_words):
    found = read_question(text, NAMES)

    assert found.asked["glaze"] == "1"
    assert [one.typed for one in found.open] == [open_words]


@given(st.text(max_size=200))
def test_any_words_are_read_and_each_figure_of_them_is_used_or_said(text):
    found = read_question(text, NAMES)
    told = [*found.asked.values(), *(typed for typed, _ in found.read_as), *(one.typed for one in found.open)]

    for token in tokens_of(text):
        if token.isascii() and token.isdigit():
            said = {token, str(int(token)) if len(token) < 9 else token}
            assert any(word in one for one in told for word in said)

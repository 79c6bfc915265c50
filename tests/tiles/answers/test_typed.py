"""A question in words: what is understood of it, what is left open, and that nothing is taken for anything silently."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import GlazeFactory
from tiles.answers.typed import OF_FLAWS, OF_FOOD, Clay, Names, read_question, tokens_of

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


def test_use_with_food_is_never_passed_over_nor_answered_from_a_tile():
    names = Names(glazes={1: "Harbour", 2: "Sage"}, clays={})
    for text in (
        "Is Harbour food safe?",
        "Harbour, safe for food",
        "does harbour leach",
        "Harbour for dinnerware",
    ):
        found = read_question(text, names)

        assert found.asked == {"glaze": "1"}
        assert list(found.told) == [OF_FOOD]
        assert found.open == []


@pytest.mark.parametrize("flaw", ["crawl", "crawls", "pinholes", "craze", "crazing", "blisters", "pitted"])
def test_a_flaw_in_a_question_is_known_as_one(flaw):
    found = read_question(f"does Harbour {flaw} on Dune", NAMES)

    assert found.asked == {"glaze": "1", "body": "2"}
    assert found.told == {OF_FLAWS: [flaw]}
    assert found.open == []


def test_a_glaze_named_after_a_flaw_is_a_glaze():
    assert read_question("crawl", Names(glazes={1: "Crawler Blue"}, clays={})).asked == {"glaze": "1"}


def test_an_atmosphere_may_be_written_short_and_that_is_said():
    found = read_question("Harbour c6 ox", NAMES)

    assert found.asked["atmosphere"] == "oxidation"
    assert found.read_as == [("ox", "oxidation")]


@given(st.text(max_size=200))
def test_any_words_are_read_and_each_figure_of_them_is_used_or_said(text):
    found = read_question(text, NAMES)
    told = [*found.asked.values(), *(typed for typed, _ in found.read_as), *(one.typed for one in found.open)]

    for token in tokens_of(text):
        if token.isascii() and token.isdigit():
            said = {token, str(int(token)) if len(token) < 9 else token}
            assert any(word in one for one in told for word in said)


@pytest.mark.django_db
def test_the_page_says_who_decides_on_food_beside_what_the_tiles_say(viewer_client):
    glaze = GlazeFactory(name="Harbour")
    answer = viewer_client.get("/answers/", {"q": "Is Harbour food safe?"}, follow=True)

    assert answer.request["QUERY_STRING"].startswith(f"glaze={glaze.pk}&")
    assert f"“food safe”</strong>: {OF_FOOD}." in answer.content.decode()

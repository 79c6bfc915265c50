"""Several zones said once, with nothing left out."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from tiles.conditions.facts import LayerFacts
from tiles.prints.summary import conditions_words, stacks_words

clauses = st.lists(st.text("abcdefg 0123,()", min_size=1, max_size=12), min_size=1, max_size=5)
zones = st.lists(clauses.map("; ".join), min_size=1, max_size=5).map(
    lambda lines: [(f"zone {n}", line) for n, line in enumerate(lines)]
)


def coats(glaze: str, number: int) -> LayerFacts:
    return LayerFacts(hash(glaze), glaze, None, "", "brush", number, None)


def dip(glaze: str, seconds: str) -> LayerFacts:
    return LayerFacts(hash(glaze), glaze, None, "", "dip", None, Decimal(seconds))


def test_one_line_for_all_zones_stands_word_for_word():
    line = "3 coats Harbour brushed, on Dune; target cone 6, oxidation, no hold; kiln Oriel; 14 Oct 2026"

    assert conditions_words([("band 1", line), ("back", line)]) == line


def test_what_zones_share_is_said_once():
    fire = "target cone 6, oxidation, no hold; kiln Oriel, shelf 3; 14 Oct 2026"
    words = conditions_words(
        [
            ("band 1", f"1 coat Harbour brushed, on Dune; {fire}"),
            ("band 2", f"2 coats Harbour brushed, on Dune; {fire}"),
            ("back", f"1 coat Harbour brushed, on Dune; {fire}"),
        ]
    )

    assert words == (
        "band 1, back: 1 coat Harbour brushed, on Dune · band 2: 2 coats Harbour brushed, on Dune · all: "
        + fire
    )


@given(zones)
def test_every_zone_s_line_can_be_read_off(zones):
    words = conditions_words(zones)
    parts = dict(part.split(": ", 1) for part in words.split(" · ")) if ": " in words else {}
    shared = parts.pop("all", "")
    read = {
        zone: "; ".join(filter(None, (own, shared)))
        for names, own in parts.items()
        for zone in names.split(", ")
    }

    for zone, line in zones:
        assert read.get(zone, words) == line


def test_no_zones_say_nothing():
    assert conditions_words([]) == ""
    assert stacks_words([]) == ""


def test_a_series_of_coats_is_a_range():
    stacks = [[coats("Harbour", 1)], [coats("Harbour", 2)], [coats("Harbour", 3)]]

    assert stacks_words(stacks) == "Harbour ×1–3"


def test_coats_left_out_between_are_not_claimed():
    assert stacks_words([[coats("Harbour", 1)], [coats("Harbour", 3)]]) == "Harbour ×1,3"


def test_each_order_of_glazes_stands_by_itself():
    over, under = [coats("Flux L", 1), coats("Harbour", 3)], [coats("Harbour", 3), coats("Flux L", 1)]

    assert stacks_words([[coats("Harbour", 2)], over, under]) == (
        "Harbour ×2; Flux L ×1 + Harbour ×3; Harbour ×3 + Flux L ×1"
    )


def test_dips_are_in_seconds_and_never_mixed_with_coats():
    assert (
        stacks_words([[dip("Ash", "2")], [dip("Ash", "4.50")], [coats("Ash", 2)]])
        == "Ash dip 2–4.5 s; Ash ×2"
    )

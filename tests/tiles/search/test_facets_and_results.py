"""Searches and counts against brute force: any small studio, any question, read once by hand and once by the search."""

from collections import Counter
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firings.cones import series
from firings.vocabulary import Atmosphere
from tests.tiles.search.studios import Row, lay_studio
from tiles.columns.held import Held
from tiles.columns.queries import read_now
from tiles.search import address
from tiles.search.counting.queries import facet_counts, figures_beside, keys_in_view, without_each_two
from tiles.search.filters import ResultsFilter
from tiles.search.nearest import pairs_of_filters
from tiles.search.queries import results, results_page, search, tile_numbers_of
from tiles.vocabulary import ColourFamily, FlawKind, Method, Opacity, Surface, Verdict

RUN_SPANS = {
    "0": (0, 0),
    "0.1–2": ("0.1", 2),
    "2.1–5": ("2.1", 5),
    "5.1–10": ("5.1", 10),
    "10.1–": ("10.1", 999),
}
GLOSS_SPANS = ("0–9.9", "10–70", "70.1–")
THICKNESS_SPANS = ("0–0.49", "0.5–1", "1.01–2", "2.01–")


def _yes(answer: str, fact: bool) -> bool:
    return fact == (answer == "yes")


def _stacked(row: Row, kind: str) -> bool:
    return {"alone": len(row.glazes) == 1, "layered": len(row.glazes) > 1, "flux": "flux" in row.kinds}[kind]


def _ran(row: Row, span: str) -> bool:
    if span == "off":
        return row.off
    low, high = (Decimal(end) for end in RUN_SPANS[span])
    return row.run is not None and low <= row.run <= high


def _glossy(row: Row, span: str) -> bool:
    low, _, high = span.partition("–")
    return row.gloss is not None and Decimal(low) <= row.gloss <= Decimal(high or 999)


def _thick(row: Row, span: str) -> bool:
    low, _, high = span.partition("–")
    return row.thick is not None and Decimal(low) <= row.thick <= Decimal(high or 999)


def _flawed(row: Row, kind: str) -> bool:
    return row.judged and not row.flaws if kind == "none" else kind in row.flaws


# Whether a row answers one choice of a group, written from the words of the trade and not from the search.
ANSWERS: dict[str, Callable[[Row, str], bool]] = {
    "glaze": lambda row, value: int(value) in row.glazes,
    "top": lambda row, value: int(value) == row.glazes[-1],
    "over": lambda row, value: int(value) in row.glazes[1:],
    "under": lambda row, value: int(value) in row.glazes[:-1],
    "stack": _stacked,
    "body": lambda row, value: int(value) == row.body,
    "colour": lambda row, value: value == row.colour,
    "speckled": lambda row, value: _yes(value, row.speckled),
    "atmosphere": lambda row, value: value == row.atmosphere,
    "hold": lambda row, value: int(value) == row.hold,
    "method": lambda row, value: value == row.method,
    "surface": lambda row, value: value == row.surface,
    "opacity": lambda row, value: value == row.opacity,
    "run": _ran,
    "gloss": _glossy,
    "thickness": _thick,
    "flaw": _flawed,
    "no_flaw": lambda row, value: value not in row.flaws,
    "verdict": lambda row, value: value == row.verdict,
    "texture": lambda row, value: _yes(value, row.textured),
    "judged": lambda row, value: _yes(value, row.judged),
    "photo": lambda row, value: _yes(value, row.photo),
    "kiln": lambda row, value: int(value) == row.kiln,
    "shelf": lambda row, value: int(value) == row.shelf,
    "firing": lambda row, value: int(value) == row.firing,
    "series": lambda row, value: int(value) == row.series,
    "lot": lambda row, value: int(value) in row.lots,
}


def answers(row: Row, name: str, value: str, asked: dict[str, list[str]]) -> bool:
    if name == "cone":
        order = row.target if asked.get("cone_by") == ["target"] else row.reached
        low, _, high = value.partition("–")
        return order is not None and series.order_of(low) <= order <= series.order_of(high or low)
    if name == "coats":
        coats = row.coats[-1] if asked.get("coats_of") == ["top"] else sum(row.coats)
        low, _, high = value.partition("–")
        return int(low) <= coats <= int(high or low)
    return ANSWERS[name](row, value)


def fits(row: Row, asked: dict[str, list[str]], leaving_out: str = "") -> bool:
    for name, values in asked.items():
        if name in ("cone_by", "coats_of", leaving_out):
            continue
        if name == "q":
            texts = " ".join(row.texts).casefold()
            if not all(word.casefold() in texts or word == str(row.tile) for word in values[0].split()):
                return False
        elif name in ("since", "until"):
            day = date.fromisoformat(values[0])
            if (row.fired_on < day) if name == "since" else (row.fired_on > day):
                return False
        else:
            every_or_any = all if name == "no_flaw" else any
            if not every_or_any(answers(row, name, value, asked) for value in values):
                return False
    return True


def choices_in(rows: list[Row]) -> dict[str, list[str]]:
    """Every choice a person could make in this studio, and some that nothing answers."""
    keys = {
        "glaze": {glaze for row in rows for glaze in row.glazes} | {10**9},
        "body": {row.body for row in rows} | {10**9},
        "kiln": {row.kiln for row in rows},
        "firing": {row.firing for row in rows},
        "series": {row.series for row in rows if row.series} | {10**9},
        "lot": {lot for row in rows for lot in row.lots} | {10**9},
    }
    return {
        **{name: sorted(map(str, values)) for name, values in keys.items()},
        "top": sorted(map(str, keys["glaze"])),
        "over": sorted(map(str, keys["glaze"])),
        "under": sorted(map(str, keys["glaze"])),
        "stack": ["alone", "layered", "flux"],
        "colour": ColourFamily.values(),
        "speckled": ["yes", "no"],
        "cone": ["04", "5", "5½", "6", "10", "13"],
        "atmosphere": Atmosphere.values(),
        "hold": ["0", "10", "15", "20"],
        "coats": [str(number) for number in range(1, 10)],
        "method": Method.values(),
        "surface": Surface.values(),
        "opacity": Opacity.values(),
        "run": [*RUN_SPANS, "off"],
        "gloss": [*GLOSS_SPANS],
        "thickness": [*THICKNESS_SPANS],
        "flaw": ["none", *FlawKind.values()],
        "no_flaw": FlawKind.values(),
        "verdict": Verdict.values(),
        "texture": ["yes", "no"],
        "judged": ["yes", "no"],
        "photo": ["yes", "no"],
        "shelf": ["1", "2", "3"],
    }


@st.composite
def questions(draw: Any, rows: list[Row]) -> dict[str, list[str]]:
    choices = choices_in(rows)
    choices["cone"] = [*choices["cone"], "5–6", "04–5½"]
    choices["coats"] = [*choices["coats"], "2–4"]
    choices["gloss"] = [*choices["gloss"], "9.9–69"]
    choices["thickness"] = [*choices["thickness"], "0.3–0.59"]
    names = draw(st.lists(st.sampled_from([*filter(choices.get, sorted(choices))]), max_size=3, unique=True))
    asked = {
        name: draw(st.lists(st.sampled_from(choices[name]), min_size=1, max_size=2, unique=True))
        for name in names
    }
    settings = {
        "cone_by": ["reached", "target"],
        "coats_of": ["total", "top"],
        "q": ["honey", "dune harbour", "flux", "nothing has this", str(rows[0].tile) if rows else "1001"],
        "since": ["2026-01-02"],
        "until": ["2026-01-03"],
    }
    for name, values in settings.items():
        if draw(st.integers(0, 3)) == 0:
            asked[name] = [draw(st.sampled_from(values))]
    return asked


def counted_by_hand(rows: list[Row], asked: dict[str, list[str]]) -> dict[str, dict[str, int]]:
    """For each choice how many results it alone would give in its group, the other groups as asked."""
    return {
        name: {
            value: number
            for value in values
            if (number := sum(answers(row, name, value, asked) and fits(row, asked, name) for row in rows))
        }
        for name, values in choices_in(rows).items()
    }


def counted_by_search(asked: dict[str, list[str]], held: Held | None = None) -> dict[str, dict[str, int]]:
    counts = facet_counts(asked_of(held, asked)).by_group
    counts = {
        name: {value: number for value, number in group.items() if number} for name, group in counts.items()
    }
    return {**counts, "cone": {series.label_of(int(order)): n for order, n in counts["cone"].items()}}


def asked_of(held: Held | None, asked: dict[str, list[str]], *more: tuple[str, str]) -> ResultsFilter:
    """The search, over results held in memory or asked of the database."""
    read = search((*pairs_of(asked), *more))
    read.held = held
    return read


def pairs_of(asked: dict[str, list[str]]) -> address.Pairs:
    return tuple((name, value) for name, values in asked.items() for value in values)


@pytest.mark.django_db
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_any_question_to_any_studio_is_answered_and_counted_as_by_hand(data: Any) -> None:
    with transaction.atomic():
        rows = lay_studio(data.draw)
        held = read_now()
        for _ in range(4):
            asked = data.draw(questions(rows), label="asked")
            fitting = {row.pk for row in rows if fits(row, asked)}

            assert set(results(pairs_of(asked)).values_list("pk", flat=True)) == fitting
            assert facet_counts(search(pairs_of(asked))).total == len(fitting)
            assert counted_by_search(asked) == counted_by_hand(rows, asked)
            assert counted_by_search(asked, held) == counted_by_hand(rows, asked)
            for sort in ("newest", "number", "cone", "coats", "run"):
                in_memory = keys_in_view(asked_of(held, asked, ("sort", sort)), 0, 5)
                assert in_memory == keys_in_view(asked_of(None, asked, ("sort", sort)), 0, 5)
            assert len(tile_numbers_of(pairs_of(asked))) == len(
                {row.tile for row in rows if row.pk in fitting}
            )
        transaction.set_rollback(True)


@pytest.mark.django_db
@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_leaving_one_filter_out_gives_as_many_results_as_it_says(data: Any) -> None:
    with transaction.atomic():
        rows = lay_studio(data.draw)
        asked = data.draw(questions(rows), label="asked")
        for held in (None, read_now()):
            left_out = facet_counts(asked_of(held, asked)).left_out

            for name in set(asked) - {"cone_by", "coats_of"}:
                assert left_out.get(name, 0) == sum(fits(row, asked, name) for row in rows)
        transaction.set_rollback(True)


REACHING = {
    "cone": lambda row, asked: row.target if asked.get("cone_by") == ["target"] else row.reached,
    "coats": lambda row, asked: row.coats[-1] if asked.get("coats_of") == ["top"] else sum(row.coats),
    "hold": lambda row, asked: row.hold,
    "shelf": lambda row, asked: row.shelf,
    "run": lambda row, asked: row.run,
    "gloss": lambda row, asked: row.gloss,
    "thickness": lambda row, asked: row.thick,
    "since": lambda row, asked: row.fired_on,
    "until": lambda row, asked: row.fired_on,
}


@pytest.mark.django_db
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_the_figures_beside_a_range_and_any_two_left_out_are_counted_as_by_hand(data: Any) -> None:
    with transaction.atomic():
        rows = lay_studio(data.draw)
        held = read_now()
        for _ in range(4):
            asked = data.draw(questions(rows), label="asked")
            beside = {
                name: Counter(
                    figure
                    for row in rows
                    if fits(row, asked, name) and (figure := REACHING[name](row, asked)) is not None
                )
                for name in REACHING
                if name in asked
            }
            twos = pairs_of_filters(pairs_of(asked))
            left = {
                (one, other): sum(
                    fits(row, {name: said for name, said in asked.items() if name != one}, other)
                    for row in rows
                )
                for one, other in twos
            }

            for way in (asked_of(None, asked), asked_of(held, asked)):
                assert figures_beside(way) == beside
                assert without_each_two(way, twos) == left
        transaction.set_rollback(True)


@pytest.mark.django_db
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_every_way_out_gives_as_many_results_as_it_says(data: Any) -> None:
    with transaction.atomic():
        rows = lay_studio(data.draw)
        for _ in range(6):
            nearest = results_page(pairs_of(data.draw(questions(rows), label="asked")), "1").nearest
            for way in (*nearest.without_one, *nearest.wider, *nearest.without_two):
                assert results(way.query).count() == way.count > 0
        transaction.set_rollback(True)

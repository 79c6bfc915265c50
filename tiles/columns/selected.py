"""Rows of held results picked by what no single column tells: words typed, and colours in a box."""

from collections.abc import Collection, Iterable

import numpy as np

from tiles.columns.coded import Flags, Numbers
from tiles.columns.held import Held
from tiles.columns.values import FACETS, SAID
from tiles.columns.words import Meaning


def said_rows(held: Held, meanings: Iterable[Meaning]) -> Flags:
    """Whether each row says all of what was typed."""
    return np.logical_and.reduce([_meant_rows(held, meaning) for meaning in meanings])


def _meant_rows(held: Held, meaning: Meaning) -> Flags:
    rows = text_rows(held, meaning.typed)
    named = {
        "glaze": meaning.glazes,
        "lot": meaning.lots,
        "body": meaning.bodies,
        "kiln": meaning.kilns,
        "series": meaning.series,
    }
    for facet, keys in named.items():
        if keys:
            rows |= _answering(held, facet, keys)
    return rows | np.isin(held.numbers, [*meaning.numbers]) if meaning.numbers else rows


def _answering(held: Held, facet: str, keys: Collection[int]) -> Flags:
    flags = held.facets[facet].answering(keys.__contains__)
    return flags.take(held.rows.codes[FACETS[facet][0]])


def text_rows(held: Held, typed: str) -> Flags:
    """Whether a typed piece begins a word of what people wrote of each row."""
    codes = np.array([*held.words.beginning(typed)], np.int64)
    flags = np.zeros(held.sizes[SAID], bool)
    flags[codes[codes < len(flags)]] = True
    return flags.take(held.rows.codes[SAID]) if len(codes) else np.zeros(len(held.rows), bool)


def colours_in(held: Held, low: Iterable[float], high: Iterable[float]) -> Numbers:
    """The places of rows whose colour lies in a box of L*a*b*, ends within; rows without a colour lie in none."""
    places: Numbers | None = None
    for column, least, most in zip(held.rows.lab, low, high, strict=True):
        figures = column if places is None else column[places]
        inside = np.flatnonzero((figures >= least) & (figures <= most))
        places = inside if places is None else places[inside]
    return places if places is not None else np.arange(len(held.rows))

"""What a search's parameters mean among the columns in memory: which facet, and which of its values."""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tiles.columns.counted import Filters
from tiles.columns.values import FACETS
from tiles.search.groups import BY_NAME, OFF, CoatsOf, ConeBy, Sort

# Parameters that by themselves find nothing.
NOT_FILTERS = frozenset({"cone_by", "coats_of", "within", "sort"})
CHOSEN = frozenset(
    {
        "glaze",
        "top",
        "over",
        "under",
        "stack",
        "body",
        "colour",
        "speckled",
        "atmosphere",
        "method",
        "surface",
        "opacity",
    }
    | {"flaw", "verdict", "texture", "judged", "photo", "kiln", "series", "lot"}
)
SPANS = frozenset({"cone", "hold", "coats", "shelf", "firing"})
LAST = np.iinfo(np.int64).max
# What an order goes by, and whether the highest comes first.
ORDERED_BY = {Sort.CONE: "cone number", Sort.COATS: "coats", Sort.RUN: "run in tenths"}


def facets_of(said: Mapping[str, Any]) -> dict[str, str]:
    """For each group the facet that is counted for it."""
    named = {name: name for name in BY_NAME if name in FACETS}
    named |= {"no_flaw": "flaw", "cone": cone_facet(said), "coats": coats_facet(said)}
    return named


def exact_facets(said: Mapping[str, Any]) -> dict[str, str]:
    """For each range the facet that holds its very figures."""
    return {
        "cone": cone_facet(said),
        "coats": coats_facet(said),
        "hold": "hold",
        "shelf": "shelf",
        "run": "run in mm",
        "gloss": "gloss in GU",
        "thickness": "thickness in mm",
        "since": "day",
        "until": "day",
    }


def cone_facet(said: Mapping[str, Any]) -> str:
    return "target cone" if said.get("cone_by") == ConeBy.TARGET.value else "cone"


def coats_facet(said: Mapping[str, Any]) -> str:
    return "coats on top" if said.get("coats_of") == CoatsOf.TOP.value else "coats"


def answer(asked: Filters, name: str, value: Any, said: Mapping[str, Any]) -> bool:
    """Put a filter among those asked; False where no column holds what it asks for."""
    if name == "no_flaw":
        asked.answer(name, "flaw", frozenset(value).__contains__, none=True)
    elif name in CHOSEN:
        asked.answer(name, name, frozenset(value).__contains__)
    elif name in SPANS:
        asked.answer(name, facets_of(said)[name], _in_spans(value))
    elif name == "run":
        asked.answer(name, "run in mm", _ran(value))
    elif name == "gloss":
        asked.answer(name, "gloss in GU", _in_spans(value))
    elif name == "thickness":
        asked.answer(name, "thickness in mm", _in_spans(value))
    elif name == "since":
        asked.answer(name, "day", lambda day: bool(day >= value))
    elif name == "until":
        asked.answer(name, "day", lambda day: bool(day <= value))
    else:
        return False
    return True


def _in_spans(spans: list[Any]) -> Callable[[Any], bool]:
    return lambda figure: any(span.holds(figure) for span in spans)


def _ran(values: list[Any]) -> Callable[[Any], bool]:
    spans = [value for value in values if value != OFF]
    return lambda figure: OFF in values if figure == OFF else any(span.holds(figure) for span in spans)


def written(value: Any) -> str:
    """A counted value as the address writes it."""
    return str(value)


def figures_for(asked: Filters, sort: Sort, apart: Mapping[int, float] | None) -> NDArray[Any] | None:
    """What rows are put in order by, rising; None for newest first."""
    held = asked.held
    if sort is Sort.NEAREST:
        return _far_off(asked, apart) if apart is not None else None
    if sort not in ORDERED_BY:
        return None
    facet = ORDERED_BY[sort]
    by_code = -held.facets[facet].figures(-LAST)
    return by_code.take(held.rows.codes[FACETS[facet][0]])


def _far_off(asked: Filters, apart: Mapping[int, float]) -> NDArray[np.float64]:
    keys = np.fromiter(apart, np.int64, len(apart))
    far = np.full(len(asked.held.rows), np.inf)
    order = np.argsort(keys)
    found = np.flatnonzero(np.isin(asked.held.rows.keys, keys))
    offs = np.fromiter(apart.values(), np.float64, len(apart))[order]
    far[found] = offs[np.searchsorted(keys[order], asked.held.rows.keys[found])]
    return far

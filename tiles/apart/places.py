"""What may be one change apart from a result, picked from the results held in memory.

Whether each condition beside the stack is the same is settled once for each code, then summed for each row; stacks are
told apart by their signatures.
"""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from tiles.columns.coded import Flags, Numbers
from tiles.columns.held import Held
from tiles.columns.values import FACETS, HEAT, STACK, WARE

# The facet of each condition beside the stack.
FACET_OF = {
    "body_id": "body",
    "form_id": "form",
    "textured": "texture",
    "reached_order": "cone",
    "atmosphere": "atmosphere",
    "hold_min": "hold",
    "kiln_id": "kiln",
    "firing_count": "firings",
}


def candidates_held(held: Held, same: Mapping[str, Any], key: str, own: int, most: int) -> list[int]:
    """The keys of all that may be one change apart, newest first within each kind, at most so many of each.

    Of the same stack, what differs in one other condition at most; of a stack near it, what is the same beside it.

    same : the result's conditions beside the stack, by the names of FACET_OF
    key, own : its stack's signature, and the result's own key
    """
    apart = _apart(held, same)
    stacks = held.facets["stack key"]
    kinds: tuple[tuple[Callable[[str], bool], int], ...] = (
        (lambda other: other == key, 1),
        (_near(key), 0),
        (_over(key), 0),
    )
    found: list[int] = []
    for wanted, most_apart in kinds:
        rows = stacks.answering(wanted).take(held.rows.codes[STACK])
        places = np.flatnonzero(rows)
        keys = held.rows.keys[places[apart(places) <= most_apart]]
        found += keys[keys != own][:most].tolist()
    return found


def _apart(held: Held, same: Mapping[str, Any]) -> Callable[[Numbers], Numbers]:
    """In how many conditions beside the stack rows differ, by their places."""
    by_code = {column: np.zeros(held.sizes[column], np.int64) for column in (HEAT, WARE)}
    for name, facet in FACET_OF.items():
        by_code[FACETS[facet][0]] += ~_same(held, facet, same[name])
    codes = held.rows.codes
    return lambda places: sum(of[codes[column][places]] for column, of in by_code.items())  # type: ignore[return-value]


def _same(held: Held, facet: str, value: Any) -> Flags:
    if value is None:
        return ~held.facets[facet].answering(lambda other: True)
    wanted = ("yes" if value else "no") if facet == "texture" else value
    return held.facets[facet].answering(lambda other: bool(other == wanted))


def _top(key: str) -> str:
    """The top layer's glaze in a signature."""
    return key.rpartition("|")[2].partition(":")[0]


def _layer_count(key: str) -> int:
    return key.count("|") + 1 if key else 0


def _near(key: str) -> Callable[[str], bool]:
    """Whether a stack is another of the same glaze on top, a layer more or less at most.

    >>> near = _near("3:brush:2")
    >>> near("3:brush:3"), near("4:brush:1|3:brush:2"), near("3:brush:2")
    (True, True, False)
    """
    top, count = _top(key), _layer_count(key)
    # The cheapest question first: there are thousands of stacks.
    return lambda other: (
        top in other and _top(other) == top and abs(_layer_count(other) - count) <= 1 and other != key
    )


def _over(key: str) -> Callable[[str], bool]:
    """Whether a stack has the same below and another glaze, or nothing, on top; or one layer more over the whole stack.

    >>> _over("3:brush:2")("3:brush:2|7:brush:1"), _over("3:brush:2|7:brush:1")("3:brush:2")
    (True, True)
    """
    top, count, below = _top(key), _layer_count(key), key.rpartition("|")[0]
    higher, beside = f"{key}|", f"{below}|"

    def is_over(other: str) -> bool:
        if other.startswith(higher):
            fits = _layer_count(other) == count + 1
        else:
            fits = bool(below) and (
                other == below or (other.startswith(beside) and _layer_count(other) == count)
            )
        return fits and _top(other) != top

    return is_over

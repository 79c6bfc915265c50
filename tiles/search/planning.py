"""The tiles a search looks for in vain, as the planner is asked for them: the conditions, not what was seen."""

from typing import Any

from tiles.search import address
from tiles.search.address import Pairs
from tiles.search.groups import BY_NAME
from tiles.search.spans import Span

AS_THEY_ARE = ("body", "atmosphere", "method", "lot")
# From one end of a range to the other each figure is a level, unless there are more of them than these.
MOST_LEVELS = 6
RANGES = ("cone", "coats", "hold")


def plan_of(pairs: Pairs) -> Pairs:
    """The planner's parameters for a search's conditions; nothing where it names none.

    Of a range of cones only the ends are levels, as the planner's person chooses what lies between.

    >>> plan_of((("top", "7"), ("glaze", "3"), ("cone", "6"), ("coats", "1–3"), ("surface", "satin")))
    (('glaze', '7'), ('under', '3'), ('cone', '30'), ('coats', '1'), ('coats', '2'), ('coats', '3'))
    """
    levels = [(name, value) for name in AS_THEY_ARE for value in address.values_of(pairs, name)]
    figures = [(name, str(level)) for name in RANGES for level in _levels(pairs, name)]
    return tuple(dict.fromkeys((*_stack(pairs), *levels, *figures)))


def _stack(pairs: Pairs) -> list[tuple[str, str]]:
    """Which glaze is tested, and what lies under it."""
    anywhere, under = address.values_of(pairs, "glaze"), address.values_of(pairs, "under")
    over = (*address.values_of(pairs, "top"), *address.values_of(pairs, "over"))
    tested = over or tuple(glaze for glaze in anywhere if glaze not in under) or under
    below = [glaze for glaze in (*under, *(anywhere if over else ())) if glaze not in tested]
    return [("glaze", glaze) for glaze in tested] + [("under", glaze) for glaze in below]


def _levels(pairs: Pairs, name: str) -> list[Any]:
    scale = BY_NAME[name].scale
    assert scale is not None
    levels: list[Any] = []
    for text in address.values_of(pairs, name):
        try:
            levels += _within(scale.read(text), each=name == "coats")
        except ValueError:
            continue
    return levels


def _within(span: Span[Any], *, each: bool) -> list[Any]:
    low, high = span.low, span.high
    if each and low is not None and high is not None and high - low < MOST_LEVELS:
        return list(range(low, high + 1))
    return list(dict.fromkeys(end for end in (low, high) if end is not None))

"""The choices of a search as a page shows them: with words, counts, and the addresses that lift a filter."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from tiles.search import address
from tiles.search.address import Pairs
from tiles.search.groups import REFINES, SEARCHED, Group, Names, chip_words, choice_words, known_words

# So many choices stand in view; the rest of a long list unfolds.
IN_VIEW = 8
# Of records, such as series, no more choices than these are sent to a page: the ones with the most results.
MOST_SENT = 48


class Choice(NamedTuple):
    """One choice and how many results it would give; None where that was not counted."""

    value: str
    words: str
    results: int | None
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class Facet:
    """A group of choices.

    typed : what stands in its field; `problem` what could not be read of it
    unsent : choices beside them, of fewer results, or of figures further down
    setting : what was said of how the group is meant
    """

    group: Group
    choices: tuple[Choice, ...]
    more: tuple[Choice, ...]
    typed: str
    problem: str
    unsent: int = 0
    setting: str = ""

    @property
    def is_open(self) -> bool:
        """Whether it is unfolded: always those asked most, and any in force."""
        shown = (*self.choices, *self.more)
        return self.group.is_open or bool(
            self.typed or self.problem or any(choice.is_chosen for choice in shown)
        )


@dataclass(frozen=True, eq=False)
class Facets:
    """All groups of a search. Each is equal to itself alone, so that what is written of it can be kept."""

    groups: tuple[Facet, ...]


@dataclass(frozen=True, slots=True)
class Chip:
    """A filter in force and the query string that lifts it."""

    words: str
    lifted: str


@dataclass(frozen=True, slots=True)
class WayOut:
    """A filter which, left out, gives `count` results, and the query string of that search."""

    words: str
    count: int
    query: str


def foremost(group: Group, counts: Mapping[str, int], chosen: Iterable[str]) -> Mapping[str, int]:
    """The choices that are sent to a page: all of a closed list, else the first of them and any that is chosen."""
    if group.choices or len(counts) <= MOST_SENT:
        return counts
    rank = group.scale.rank if group.scale else lambda value: (-counts[value], int(value))
    first = sorted(counts, key=rank)[:MOST_SENT]
    return {value: counts[value] for value in dict.fromkeys((*first, *chosen)) if value in counts}


def facet(
    group: Group,
    counts: Mapping[str, int],
    chosen: Iterable[str],
    names: Names,
    problem: str = "",
    unsent: int = 0,
    setting: str = "",
) -> Facet:
    """A group's choices in the order people look for them, those chosen always among them."""
    typed_as = group.scale.typed if group.scale else str
    counted = {typed_as(value): count for value, count in counts.items()}
    chosen = tuple(chosen)
    listed = known_words(group.choices)
    strange = [value for value in chosen if value not in counted and value not in listed]
    typed = strange.pop() if strange and group.scale else ""
    values = [*_in_order(group, counted, names), *strange]
    shown = [_choice(group, value, counted, chosen, names) for value in values]
    if group.choices or len(shown) <= IN_VIEW + 1:
        return Facet(group, tuple(shown), (), typed, problem, unsent, setting)
    chosen_below = [choice for choice in shown[IN_VIEW:] if choice.is_chosen]
    rest = [choice for choice in shown[IN_VIEW:] if not choice.is_chosen]
    return Facet(group, (*shown[:IN_VIEW], *chosen_below), tuple(rest), typed, problem, unsent, setting)


def _choice(
    group: Group, value: str, counted: Mapping[str, int], chosen: tuple[str, ...], names: Names
) -> Choice:
    is_span = group.scale is not None and not group.choices and value not in counted
    count = None if is_span else counted.get(value, 0)
    return Choice(value, choice_words(group, value, names), count, value in chosen)


def _in_order(group: Group, counted: Mapping[str, int], names: Names) -> list[str]:
    """A closed list in the trade's order, figures by size as they were counted, records by how much there is."""
    if group.choices:
        return [value for value, _ in group.choices]
    if group.scale is not None:
        return sorted(counted, key=group.scale.rank)
    return sorted(counted, key=lambda value: (-counted[value], choice_words(group, value, names).casefold()))


def chips(pairs: Pairs, names: Names) -> list[Chip]:
    """The filters in force, each with the search without it."""
    settings = dict(pairs)
    return [
        Chip(chip_words(name, value, names, settings), address.write(_lift(pairs, name, value)))
        for name, value in pairs
        if name in SEARCHED and name not in REFINES
    ]


def _lift(pairs: Pairs, name: str, value: str) -> Pairs:
    """Lifting the last choice of a group lifts what refined it too."""
    left = address.without_choice(pairs, name, value)
    return left if address.values_of(left, name) else lift(left, name)


def lift(pairs: Pairs, *names: str) -> Pairs:
    """The search without these filters, and without what only refined them."""
    left = address.without(pairs, *names)
    idle = [
        setting
        for setting, refined in REFINES.items()
        if not any(address.values_of(left, one) for one in refined) and any(name in refined for name in names)
    ]
    return address.without(left, *idle)


def ways_out(pairs: Pairs, left_out: Mapping[str, int], names: Names) -> list[WayOut]:
    """For a search that finds nothing: each filter which, left out alone, gives results, most results first."""
    settings = dict(pairs)
    ways = []
    for name, count in left_out.items():
        if not count or name in REFINES:
            continue
        values = address.values_of(pairs, name)
        words = [chip_words(name, value, names, settings) for value in values]
        if words:
            ways.append(WayOut(" or ".join(words), count, address.write(lift(pairs, name))))
    return sorted(ways, key=lambda way: -way.count)

"""Saved searches as a person sees them: what each asks for, in words, and whose it is."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from firings.models import User
from tiles.models import SavedSearch
from tiles.search import address
from tiles.search.address import Pairs
from tiles.search.facets import chips
from tiles.search.groups import GROUPS, NAMES_IN_ADDRESS, Names
from tiles.search.queries import names_of

# How a search is shown is no part of it.
NOT_KEPT = ("view",)


@dataclass(frozen=True, slots=True)
class Shown:
    """A saved search with what it asks for."""

    search: SavedSearch
    asks: list[str]
    is_own: bool
    may_change: bool


def query_of(typed: str) -> str:
    """A search's query as it is kept: what says nothing and how it is shown left out."""
    return address.write(_pairs(typed))


def _pairs(query: str) -> Pairs:
    return address.without(address.read(query, NAMES_IN_ADDRESS), *NOT_KEPT)


def saved_for(person: User) -> list[SavedSearch]:
    """A person's own searches, then what the others share. One query."""
    return list(SavedSearch.objects.for_person(person))


def shown_to(person: User) -> list[Shown]:
    """The same with what each asks for, in a constant number of queries."""
    searches = saved_for(person)
    asks = words_of([search.query for search in searches])
    any_shared = person.has_perm("tiles.delete_savedsearch")
    return [
        Shown(search, words, search.owner_id == person.pk, search.owner_id == person.pk or any_shared)
        for search, words in zip(searches, asks, strict=True)
    ]


def words_of(queries: Sequence[str]) -> list[list[str]]:
    """What searches ask for, filter by filter, as their chips say it."""
    asked = [_pairs(query) for query in queries]
    names = _names_in(asked)
    return [[chip.words for chip in chips(pairs, names)] for pairs in asked]


def _names_in(asked: Iterable[Pairs]) -> Names:
    pairs = tuple(pair for one in asked for pair in one)
    values = {group.name: set(address.values_of(pairs, group.name)) for group in GROUPS}
    return names_of({**values, "like": set(address.values_of(pairs, "like"))})

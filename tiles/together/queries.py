"""The results that many-at-once work is about, a line each, and the filters that found them."""

from collections.abc import Iterable
from dataclasses import dataclass

from firings.moments import mark_of
from tiles import numbers
from tiles.conditions.queries import conditions_of
from tiles.conditions.stack import stack_words
from tiles.models import Outcome
from tiles.search import address
from tiles.search.counting.queries import keys_in_view, total_of
from tiles.search.facets import Chip, chips
from tiles.search.groups import GROUPS, NAMES_IN_ADDRESS
from tiles.search.queries import names_of, search
from tiles.unloading.judgement import judgement_words
from tiles.unloading.services import judgement_of

# So many are changed at once, so that each can still be looked over on one page.
MOST = 1000


@dataclass(frozen=True, slots=True)
class Line:
    """A result as a line to tick; `said` is what the tick sends: its key and when what is shown was judged."""

    outcome: Outcome
    said: str
    stack: str
    seen: str

    @property
    def key(self) -> int:
        return int(self.outcome.pk)


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found; `lines` are empty where it is more than is changed at once."""

    query: str
    total: int
    lines: list[Line]
    chips: list[Chip]

    @property
    def is_too_many(self) -> bool:
        return self.total > MOST


def found_by(query: str) -> Found:
    """The results of a search, in its order."""
    pairs = address.without(address.read(query, NAMES_IN_ADDRESS), "view")
    asked = search(pairs)
    total = total_of(asked)
    keys = keys_in_view(asked, 0, MOST) if total <= MOST else []
    values = {group.name: address.values_of(pairs, group.name) for group in GROUPS}
    names = names_of({**values, "like": address.values_of(pairs, "like")}, asked.held)
    return Found(address.write(pairs), total, lines_of(keys), chips(pairs, names))


def lines_of(keys: Iterable[int]) -> list[Line]:
    """Results as lines, in the order of their keys; a constant number of queries."""
    keys = list(keys)
    rows = Outcome.objects.for_display().in_bulk(keys)
    return [_line(rows[key]) for key in keys if key in rows]


def _line(outcome: Outcome) -> Line:
    seen = judgement_words(judgement_of(outcome)) if outcome.judged_at else ""
    stack = stack_words(conditions_of(outcome).layers)
    return Line(outcome, f"{outcome.pk}.{mark_of(outcome.judged_at)}", stack, seen)


def tile_labels_of(keys: Iterable[int]) -> list[str]:
    """The numbers of the tiles these results are on, each once, by number."""
    found = Outcome.objects.filter(pk__in=list(keys)).values_list("tile__number", flat=True)
    return [numbers.write(number) for number in sorted(set(found))]


def names_in_words(outcomes: Iterable[Outcome], most: int = 8) -> str:
    """Results by tile and zone; of many only the first.

    The outcomes come with tile and zone at hand.
    """
    named = [f"{outcome.tile.label} {outcome.zone.name}" for outcome in outcomes]
    rest = len(named) - most
    return ", ".join(named[:most]) + (f" and {rest} more" if rest > 0 else "")

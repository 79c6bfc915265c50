"""The results that many-at-once work is about, a line each, and the filters that found them."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from firings.moments import mark_of
from tiles import numbers
from tiles.conditions.stack import key_words
from tiles.models import Flaw, Glaze, Outcome
from tiles.search import address
from tiles.search.counting.queries import keys_in_view, total_of
from tiles.search.facets import Chip, chips
from tiles.search.groups import GROUPS, NAMES_IN_ADDRESS
from tiles.search.queries import names_of, search
from tiles.unloading.judgement import Judgement, in_order, judgement_words
from tiles.unloading.services import SEEN

# So many are changed at once, so that each can still be looked over on one page.
MOST = 1000


@dataclass(frozen=True, slots=True)
class Line:
    """A result as a line to tick; `said` is what the tick sends: its key and when what is shown was judged."""

    key: int
    said: str
    tile: str
    zone: str
    stack: str
    seen: str


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
    """Results as lines, in the order of their keys; three queries, of what stands on a line alone."""
    keys = list(keys)
    if not keys:
        return []
    found = Outcome.objects.filter(pk__in=keys)
    said = found.values_list("pk", "judged_at", "tile__number", "zone__name", "stack_key", *SEEN)
    rows = {row[0]: row[1:] for row in said}
    flaws = defaultdict(list)
    for key, kind, severity in Flaw.objects.filter(outcome__in=keys).values_list(
        "outcome", "kind", "severity"
    ):
        flaws[key].append((kind, severity))
    glazes = dict(Glaze.everything.values_list("pk", "name"))

    def line(key: int) -> Line:
        judged_at, number, zone, stack, *seen = rows[key]
        judgement = Judgement(**dict(zip(SEEN, seen, strict=True)), flaws=in_order(flaws.get(key, ())))
        words = judgement_words(judgement) if judged_at else ""
        return Line(
            key, f"{key}.{mark_of(judged_at)}", numbers.write(number), zone, key_words(stack, glazes), words
        )

    return [line(key) for key in keys if key in rows]


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

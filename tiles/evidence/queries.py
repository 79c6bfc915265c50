"""The judged results a question is about, read in few queries, and what a pair shows of itself."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.urls import reverse

from tiles.apart.queries import FACTS, MOST_COMPARED, compare_address, read_facts
from tiles.evidence.gathered import Evidence, gathered
from tiles.evidence.lines import Effect
from tiles.evidence.matching import Change, Match, Result
from tiles.models import Flaw, Glaze, Outcome, Photo
from tiles.search.cards.queries import layers_of, photos_of
from tiles.search.filters import layered_with
from tiles.search.queries import searchable
from tiles.tray.parts.queries import PhotoPart
from tiles.vocabulary import Opacity, Surface

# The newest results that are taken in; a page says so where there are more.
MOST_RESULTS = 4_000
# So many pairs stand on one page.
MOST_PAIRS = 60


@dataclass(frozen=True, slots=True)
class Scope:
    """What the evidence is about: one glaze, all glazes of one expected surface, or the whole studio."""

    title: str
    address: str
    outcomes: QuerySet[Outcome]

    def pairs_address(self, change: Change) -> str:
        """Where the pairs behind a change stand."""
        asked = {"of": change.condition.value, "from": change.before.words, "to": change.after.words}
        return f"{self.address}pairs/?{urlencode(asked)}"


def studio_scope() -> Scope:
    return Scope("the whole studio", reverse("tiles:evidence:studio"), searchable())


def glaze_scope(glaze: Glaze) -> Scope:
    """Results with the glaze anywhere in the stack."""
    return Scope(
        glaze.name,
        reverse("tiles:evidence:glaze", args=[glaze.pk]),
        searchable().filter(layered_with(glaze=glaze)),
    )


def surface_scope(surface: Surface) -> Scope:
    """Results whose top glaze is expected to come out with that surface."""
    address = reverse("tiles:evidence:surface", args=[surface.value])
    return Scope(
        f"all {surface.label} glazes", address, searchable().filter(top_glaze__surface=surface.value)
    )


JUDGED = ("tile_id", "firing_id", "fired_on", "surface", "opacity", "run_mm", "gloss_gu", "lab_l", "runs_off")


def results_of(scope: Scope) -> list[Result]:
    """The newest judged results of a question; three queries."""
    judged = scope.outcomes.filter(judged_at__isnull=False).order_by("-fired_on", "-pk")
    rows = list(judged.values(*FACTS, *JUDGED)[:MOST_RESULTS])
    keys = [row["pk"] for row in rows]
    layers, flaws = layers_of(keys), _flaws_of(keys)
    return [_result(row, layers.get(row["pk"], ()), frozenset(flaws[row["pk"]])) for row in rows]


def _flaws_of(keys: Sequence[int]) -> dict[int, list[str]]:
    flaws: dict[int, list[str]] = defaultdict(list)
    for key, kind in Flaw.objects.filter(outcome__in=keys).order_by().values_list("outcome", "kind"):
        flaws[key].append(kind)
    return flaws


def _result(row: dict[str, Any], layers: tuple[Any, ...], flaws: frozenset[str]) -> Result:
    return Result(
        key=row["pk"],
        tile_id=row["tile_id"],
        firing_id=row["firing_id"],
        conditions=read_facts(row, layers),
        fired_on=row["fired_on"],
        surface=_rank(Surface.values(), row["surface"]),
        opacity=_rank(Opacity.values(), row["opacity"]),
        run_mm=_figure(row["run_mm"]),
        gloss_gu=_figure(row["gloss_gu"]),
        lightness=row["lab_l"],
        ran_off=row["runs_off"],
        flaws=flaws,
    )


def _rank(order: Sequence[str], value: str) -> int | None:
    return order.index(value) if value in order else None


def _figure(value: Any) -> float | None:
    return None if value is None else float(value)


@dataclass(frozen=True, slots=True)
class ShownEffect:
    """An effect with the address of its pairs."""

    effect: Effect
    pairs: str


@dataclass(frozen=True, slots=True)
class Page:
    """An evidence page."""

    scope: Scope
    evidence: Evidence
    told: list[ShownEffect]
    thin: list[ShownEffect]
    lots: list[ShownEffect]

    @property
    def is_cut(self) -> bool:
        """Whether there are more results than were taken in."""
        return self.evidence.results == MOST_RESULTS


def evidence_page(scope: Scope) -> Page:
    evidence = gathered(results_of(scope))

    def shown(effects: Sequence[Effect]) -> list[ShownEffect]:
        return [ShownEffect(effect, scope.pairs_address(effect.change)) for effect in effects]

    return Page(scope, evidence, shown(evidence.told), shown(evidence.thin), shown(evidence.lots))


Picture = Photo | PhotoPart | None


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a pair: the result that stands for it, and how many more there are."""

    outcome: Outcome
    photo: Picture
    more: int


@dataclass(frozen=True, slots=True)
class ShownPair:
    """All else equal: what all is, before and after, and where both lie side by side."""

    before: Side
    after: Side
    compare: str


@dataclass(frozen=True, slots=True)
class PairsPage:
    """The pairs behind a change."""

    scope: Scope
    effect: Effect
    pairs: list[ShownPair]


def pairs_page(scope: Scope, asked: dict[str, str]) -> PairsPage | None:
    """The pairs of a change named by its condition and levels in words; None where nothing shows such a change."""
    evidence = gathered(results_of(scope))
    wanted = asked.get("of", ""), asked.get("from", ""), asked.get("to", "")
    for effect in evidence.effects:
        change = effect.change
        if (change.condition.value, change.before.words, change.after.words) == wanted:
            return PairsPage(scope, effect, _shown_pairs(effect.matches[:MOST_PAIRS]))
    return None


def _shown_pairs(matches: Sequence[Match]) -> list[ShownPair]:
    keys = [side[0].key for match in matches for side in (match.before, match.after)]
    shown = Outcome.objects.for_display().in_bulk(keys)
    photos = photos_of(list(shown.values()))

    def side(results: Sequence[Result]) -> Side:
        key = results[0].key
        return Side(shown[key], photos.get(key), len(results) - 1)

    return [
        ShownPair(side(match.before), side(match.after), compare_address(_compared(match)))
        for match in matches
        if match.before[0].key in shown and match.after[0].key in shown
    ]


def _compared(match: Match) -> list[int]:
    """As many of both sides as lie side by side."""
    half = MOST_COMPARED // 2
    return [one.key for side in (match.before, match.after) for one in side[:half]]

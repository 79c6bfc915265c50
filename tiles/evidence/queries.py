"""The judged results a question is about, all of them, and what a pair shows of itself."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal
from urllib.parse import urlencode

import numpy as np
from django.core.paginator import Page, Paginator
from django.urls import reverse

from firings.estimate import Estimate
from tiles.apart.queries import MOST_COMPARED, compare_address
from tiles.columns.coded import Flags
from tiles.columns.held import Held
from tiles.columns.queries import all_held
from tiles.columns.values import FACETS
from tiles.conditions.apart import Condition
from tiles.evidence.arrays import starts_of
from tiles.evidence.gathered import Evidence, RunRisk
from tiles.evidence.lines import Effect
from tiles.evidence.matching import LOOKED_AT, Change, repeated
from tiles.evidence.results import results_in
from tiles.models import Glaze, Outcome, Photo, TileForm
from tiles.search.cards.queries import cards, photos_of
from tiles.search.cards.words import Card
from tiles.tray.parts.queries import PhotoPart
from tiles.vocabulary import Surface

# So many changes of one condition, changes with too few pairs and stacks stand on the page that tells everything.
MOST_CHANGES, MOST_THIN, MOST_RISKS = 8, 60, 12
# So many of each stand on the pages behind it.
CHANGES_A_PAGE, PAIRS_A_PAGE, RISKS_A_PAGE, TRIES_A_PAGE, REPEATS_A_PAGE = 48, 24, 60, 48, 12


@dataclass(frozen=True, slots=True)
class Scope:
    """What the evidence is about: one glaze, all glazes of one expected surface or tag, or the whole studio.

    facet, keys : results that answer any of these keys in that facet; all results without
    """

    title: str
    address: str
    facet: str = ""
    keys: frozenset[int] = frozenset()

    def pairs_address(self, change: Change) -> str:
        """Where the pairs behind a change stand."""
        asked = {"of": change.condition.value, "from": change.before.words, "to": change.after.words}
        return f"{self.address}pairs/?{urlencode(asked)}"

    def tries_address(self, risk: RunRisk) -> str:
        """Where the tiles behind a chance of running off stand."""
        return f"{self.address}runs/?{urlencode({'stack': risk.stack, 'cone': risk.cone})}"

    def chosen(self, held: Held) -> Flags | None:
        """Which of the results held it is about; None for all."""
        if not self.facet:
            return None
        flags = held.facets[self.facet].answering(self.keys.__contains__)
        codes = held.rows.codes[FACETS[self.facet][0]]
        return flags.take(codes) if len(codes) else np.zeros(0, bool)


def studio_scope() -> Scope:
    return Scope("the whole studio", reverse("tiles:evidence:studio"))


def glaze_scope(glaze: Glaze) -> Scope:
    """Results with the glaze anywhere in the stack."""
    address = reverse("tiles:evidence:glaze", args=[glaze.pk])
    return Scope(glaze.name, address, "glaze", frozenset([glaze.pk]))


def surface_scope(surface: Surface) -> Scope:
    """Results whose top glaze is expected to come out with that surface; one query."""
    keys = Glaze.everything.filter(surface=surface.value).values_list("pk", flat=True)
    address = reverse("tiles:evidence:surface", args=[surface.value])
    return Scope(f"all {surface.label} glazes", address, "top", frozenset(keys))


def tag_scope(tag: str) -> Scope | None:
    """Results whose top glaze has that tag; None where no glaze has it; one query."""
    keys = Glaze.objects.tagged(tag).values_list("pk", flat=True)
    address = reverse("tiles:evidence:tag", args=[tag])
    return Scope(f"all glazes tagged “{tag}”", address, "top", frozenset(keys)) if keys else None


def standing_forms() -> frozenset[int]:
    """Forms of tile that are fired standing; one query."""
    return frozenset(TileForm.everything.filter(upright=True).values_list("pk", flat=True))


def evidence_of(scope: Scope) -> Evidence:
    """What the results of a question say as they stand now; one query."""
    return evidence_in(all_held(), scope, standing_forms())


def evidence_in(held: Held, scope: Scope, standing: frozenset[int]) -> Evidence:
    """What those of the results held say that a question is about; kept as long as they stand."""
    question = "evidence", scope.facet, scope.keys, standing
    return held.large.of(
        question,
        lambda: Evidence(results_in(held, scope.chosen(held)), standing),
        lambda evidence: evidence.results,
    )


@dataclass(frozen=True, slots=True)
class ShownEffect:
    """An effect with the address of its pairs."""

    effect: Effect
    pairs: str


@dataclass(frozen=True, slots=True)
class ShownCondition:
    """Changes of one condition: those that stand on the page, how many more there are, and where."""

    condition: Condition
    shown: list[ShownEffect]
    more: int
    address: str


@dataclass(frozen=True, slots=True)
class ShownRisk:
    """A chance with the address of the tiles behind it."""

    risk: RunRisk
    tries: str


@dataclass(frozen=True, slots=True)
class EvidencePage:
    """An evidence page."""

    scope: Scope
    evidence: Evidence
    told: list[ShownCondition]
    thin: list[ShownEffect]
    thin_count: int
    lots: list[ShownEffect]
    lot_count: int
    risks: list[ShownRisk]


def evidence_page(scope: Scope) -> EvidencePage:
    """All of it; two queries where results are held."""
    evidence = evidence_of(scope)
    shown = _shown_by(scope)
    by_condition: dict[Condition, list[Effect]] = {}
    for effect in evidence.told:
        by_condition.setdefault(effect.change.condition, []).append(effect)
    lots = sorted(evidence.lots, key=lambda one: -one.n)
    return EvidencePage(
        scope,
        evidence,
        [
            ShownCondition(
                condition,
                [shown(one) for one in _foremost(found)],
                max(len(found) - MOST_CHANGES, 0),
                f"{scope.address}changes/?of={condition.value}",
            )
            for condition, found in by_condition.items()
        ],
        [shown(one) for one in evidence.thin[:MOST_THIN]],
        len(evidence.thin),
        [shown(one) for one in lots[:MOST_CHANGES]],
        len(lots),
        [_shown_risk(scope, risk) for risk in evidence.risks.page(0, MOST_RISKS)],
    )


def _shown_by(scope: Scope) -> Callable[[Effect], ShownEffect]:
    return lambda effect: ShownEffect(effect, scope.pairs_address(effect.change))


def _shown_risk(scope: Scope, risk: RunRisk) -> ShownRisk:
    return ShownRisk(risk, scope.tries_address(risk))


def _foremost(effects: Sequence[Effect]) -> list[Effect]:
    """Those with most pairs, as many as a page takes, in their own order."""
    most = sorted(range(len(effects)), key=lambda place: -effects[place].n)[:MOST_CHANGES]
    return [effects[place] for place in sorted(most)]


def condition_named(value: str) -> Condition | None:
    """A condition whose changes are looked at."""
    return next((one for one in LOOKED_AT if one.value == value), None)


@dataclass(frozen=True, slots=True)
class ChangesPage:
    """Every change of one condition, those with most pairs first; a page of them."""

    scope: Scope
    condition: Condition
    page: Page[Effect]
    changes: list[ShownEffect]


def changes_page(scope: Scope, condition: Condition, number: str) -> ChangesPage:
    found = sorted(evidence_of(scope).changes_of(condition), key=lambda one: -one.n)
    page = Paginator(found, CHANGES_A_PAGE).get_page(number)
    return ChangesPage(scope, condition, page, list(map(_shown_by(scope), page.object_list)))


@dataclass(frozen=True, slots=True)
class RisksPage:
    """Every stack at every cone, what is most to be feared first; a page of them, by their places."""

    scope: Scope
    ran_off: Estimate | None
    page: Page[int]
    risks: list[ShownRisk]


def risks_page(scope: Scope, number: str) -> RisksPage:
    found = evidence_of(scope).risks
    page = Paginator(found.order, RISKS_A_PAGE).get_page(number)
    shown = [_shown_risk(scope, found.risk(place)) for place in page.object_list]
    return RisksPage(scope, found.ran_off, page, shown)


def tries_behind(scope: Scope, stack: str, cone: str) -> list[int]:
    """The results behind the chance of a stack at a cone; none where there is no such stack."""
    return evidence_of(scope).risks.keys_of(stack, cone)


@dataclass(frozen=True, slots=True)
class TriesPage:
    """Results by their keys, a page of them as cards."""

    page: Page[int]
    cards: list[Card]


def results_listed(keys: Sequence[int], number: str, unit: Literal["mm", "in"]) -> TriesPage:
    page = Paginator(keys, TRIES_A_PAGE).get_page(number)
    return TriesPage(page, cards(list(page.object_list), {}, unit))


@dataclass(frozen=True, slots=True)
class Repeat:
    """Conditions that were fired more than once: a result that stands for them, what each try came to, how many."""

    outcome: Outcome
    tries: list[Outcome]
    n: int
    compare: str


@dataclass(frozen=True, slots=True)
class RepeatsPage:
    """Everything that was fired again, most often first; a page of it, by places."""

    scope: Scope
    page: Page[int]
    repeats: list[Repeat]
    lots_aside: bool


def repeats_page(scope: Scope, number: str, *, lots_aside: bool = False) -> RepeatsPage:
    """Results of the same conditions, or of those that are the same but for their lots."""
    evidence = evidence_of(scope)
    results = evidence.of
    places, conditions = repeated(results, evidence.but_lots) if lots_aside else evidence.repeated
    starts = starts_of(conditions)
    groups = np.argsort(-np.diff(starts), kind="stable").tolist()
    page = Paginator(groups, REPEATS_A_PAGE).get_page(number)
    keys = [results.keys[places[starts[group] : starts[group + 1]]].tolist() for group in page.object_list]
    shown = Outcome.objects.for_display().in_bulk([key for group in keys for key in group[:MOST_COMPARED]])
    found = [
        ([shown[key] for key in group[:MOST_COMPARED] if key in shown], len(group), compare_address(group))
        for group in keys
    ]
    return RepeatsPage(
        scope, page, [Repeat(tries[0], tries, n, compare) for tries, n, compare in found if tries], lots_aside
    )


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
    """The pairs behind a change; a page of them, by their places."""

    scope: Scope
    effect: Effect
    page: Page[int]
    pairs: list[ShownPair]


def pairs_page(scope: Scope, asked: Mapping[str, str]) -> PairsPage | None:
    """The pairs of a change named by its condition and levels in words; None where nothing shows such a change."""
    condition = condition_named(asked.get("of", ""))
    if condition is None:
        return None
    wanted = asked.get("from", ""), asked.get("to", "")
    for effect in evidence_of(scope).changes_of(condition):
        if (effect.change.before.words, effect.change.after.words) == wanted:
            page = Paginator(range(effect.n), PAIRS_A_PAGE).get_page(asked.get("page"))
            shown = _shown_pairs([effect.keys_of(place) for place in page.object_list])
            return PairsPage(scope, effect, page, shown)
    return None


Keys = tuple[list[int], list[int]]


def _shown_pairs(pairs: Sequence[Keys]) -> list[ShownPair]:
    shown = Outcome.objects.for_display().in_bulk([side[0] for pair in pairs for side in pair])
    photos = photos_of(list(shown.values()))

    def side(keys: Sequence[int]) -> Side:
        return Side(shown[keys[0]], photos.get(keys[0]), len(keys) - 1)

    return [
        ShownPair(side(before), side(after), compare_address(_compared(before, after)))
        for before, after in pairs
        if before[0] in shown and after[0] in shown
    ]


def _compared(before: Sequence[int], after: Sequence[int]) -> list[int]:
    """As many of both sides as lie side by side."""
    half = MOST_COMPARED // 2
    return [*before[:half], *after[:half]]

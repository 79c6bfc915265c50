"""An answer put together: results, what each change does, the chance of running off, cautions, how sure it is."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal
from urllib.parse import urlencode

from django.urls import reverse

from firings.cones import series
from firings.estimate import Estimate
from firings.vocabulary import Atmosphere
from tiles.answers.cautions import Known, KnownGlaze, cautions
from tiles.answers.heard import is_a_question
from tiles.answers.nearest import HOLD, Change, Found, grouped, nearest
from tiles.answers.sureness import Sureness, how_sure
from tiles.answers.typed import Clay, Names, read_question, tokens_of
from tiles.answers.zones import TileCard, by_tile
from tiles.columns.answers import Answers
from tiles.columns.held import Held
from tiles.columns.queries import all_held, lookups
from tiles.columns.values import Lookups
from tiles.conditions.apart import Condition, hold_words
from tiles.conditions.stack import is_layer_of
from tiles.evidence.lines import Effect
from tiles.evidence.queries import (
    Scope,
    evidence_in,
    glaze_scope,
    standing_forms,
    studio_scope,
    surface_scope,
)
from tiles.evidence.runs import Cell, Kin
from tiles.models import ClayBody, Glaze
from tiles.ranges.axes import NOTHING, TOGETHER, Axis, Fired, level_of
from tiles.ranges.combinations import tries_of
from tiles.ranges.queries import IN_PLANNER, fired_with
from tiles.search.cards.queries import cards
from tiles.search.cards.words import Card
from tiles.vocabulary import GlazeKind, Surface

MOST_EXACT, MOST_NEAR = 8, 8
# What makes a stack run the same or not, as far as one may ask for it.
OF_A_STACK = tuple(axis.value for axis in (Axis.CONE, Axis.COATS, Axis.OVER, Axis.UNDER))
# Conditions as the evidence knows them: there "under" is what lies under the glaze.
CONDITIONS = {
    "cone": Condition.CONE,
    "coats": Condition.COATS,
    "body": Condition.BODY,
    "atmosphere": Condition.ATMOSPHERE,
    HOLD: Condition.HOLD,
    "over": Condition.UNDER,
    "under": Condition.OVER,
}


@dataclass(frozen=True, slots=True)
class Usual:
    """What a change usually does: the evidence, whose it is, and the address of its pairs."""

    effect: Effect
    of: str
    pairs: str


@dataclass(frozen=True, slots=True)
class ShownChange:
    """A condition that is not as asked, in words, and what that usually does; None below the bar."""

    words: str
    usual: Usual | None


@dataclass(frozen=True, slots=True)
class ShownNear:
    """Results a change or two off: the best of them as a card, how many there are, and the changes."""

    card: Card
    n: int
    changes: tuple[ShownChange, ...]


@dataclass(frozen=True, slots=True)
class RunRisk:
    """Of so many judged tries of this stack at this cone, whatever the clay, how many ran off, and the chance."""

    ran_off: int
    n: int
    chance: Estimate | None


@dataclass(frozen=True, slots=True)
class Answer:
    """The page."""

    glaze: Glaze
    question: str
    exact: list[TileCard]
    exact_tiles: int
    exact_keys: tuple[int, ...]
    near: list[ShownNear]
    risk: RunRisk | None
    cautions: list[str]
    sure: Sureness
    rule: str
    plan: str
    query: str

    @property
    def exact_count(self) -> int:
        return len(self.exact_keys)

    @property
    def tries(self) -> str:
        """Where the tiles behind the chance of running off stand."""
        return f"{reverse('tiles:answers:runs')}?{self.query}"

    @property
    def print_key(self) -> str:
        """What the print tray calls it by."""
        return self.query


class _Evidence:
    """Effects of single changes: of the glaze, of all glazes meant to be like it, of the studio; read when asked."""

    def __init__(self, glaze: Glaze, standing: frozenset[int]) -> None:
        self.glaze, self.standing = glaze, standing

    @cached_property
    def scopes(self) -> list[Scope]:
        like = [surface_scope(Surface(self.glaze.surface))] if self.glaze.surface else []
        return [glaze_scope(self.glaze), *like, studio_scope()]

    @cached_property
    def _held(self) -> Held:
        return all_held()

    def usual(self, condition: Condition, ends: set[str]) -> Usual | None:
        """The nearest kin with enough pairs of this change."""
        for scope in self.scopes:
            for effect in evidence_in(self._held, scope, self.standing).changes_of(condition):
                if effect.is_enough and _is_of(effect, condition, ends):
                    return Usual(effect, scope.title, scope.pairs_address(effect.change))
        return None


def _is_of(effect: Effect, condition: Condition, ends: set[str]) -> bool:
    change = effect.change
    if change.condition is not condition:
        return False
    if condition in (Condition.OVER, Condition.UNDER):
        return any(is_layer_of(end, change.after.words) for end in ends)
    return {change.before.words, change.after.words} == ends


def names_now() -> Names:
    """What a question in words can name; two queries."""
    clays = ClayBody.objects.values_list("pk", "name", "colour_family", "speckled")
    return Names(
        dict(Glaze.objects.order_by("pk").values_list("pk", "name")),
        {key: Clay(name, colour, speckled) for key, name, colour, speckled in clays},
    )


def asks_about_a_glaze(text: str) -> bool:
    """Whether words searched for are a question that an answer stands for; two queries, none for a single word."""
    return len(tokens_of(text)) > 1 and is_a_question(read_question(text, names_now()))


def answer_to(glaze: Glaze, asked: Mapping[str, str], unit: Literal["mm", "in"] = "mm") -> Answer:
    """The answer to a question about a glaze, in a number of queries that does not grow with the studio.

    asked : as `nearest` takes it
    """
    found, names, kept = fired_with(glaze)
    standing = standing_forms()
    nearby = nearest(found, glaze.pk, asked)
    near = nearby.near[:MOST_NEAR]
    best, tiles = _best_tiles(nearby)
    foremost = [one.keys[0] for one in near]
    shown = [*best, *foremost]
    by_key = {card.pk: card for card in cards(shown, {}, unit)}
    evidence = _Evidence(glaze, standing)
    return Answer(
        glaze=glaze,
        question=question_words(glaze, asked, names),
        exact=by_tile(by_key[key] for key in best if key in by_key),
        exact_tiles=tiles,
        exact_keys=nearby.exact_keys,
        near=[
            ShownNear(
                by_key[key],
                one.n,
                tuple(_shown_change(change, names, evidence) for change in one.changes),
            )
            for key, one in zip(foremost, near, strict=True)
            if key in by_key
        ],
        risk=_risk(_chances(found, glaze, standing, kept), asked) if _is_of_a_stack(asked) else None,
        cautions=_cautions(glaze, asked),
        sure=how_sure(
            nearby.exact,
            sum(one.n for one in nearby.near),
            nearby.meant,
            int(asked[Axis.CONE]) if asked.get(Axis.CONE) else None,
        ),
        rule=_cone_rule(asked),
        plan="" if nearby.exact else _plan(glaze, asked),
        query=urlencode([("glaze", glaze.pk), *_typed(asked)]),
    )


def _best_tiles(nearby: Found) -> tuple[list[int], int]:
    """All results that fit of the tiles that are best evidenced, the best first; and how many tiles there are in all.

    A tile counts anew after each firing.
    """
    tile_of = {one.key: (one.number, one.day) for one in nearby.exact}
    tiles = list(dict.fromkeys(tile_of[key] for key in nearby.exact_keys))
    best = set(tiles[:MOST_EXACT])
    return [key for key in nearby.exact_keys if tile_of[key] in best], len(tiles)


def _typed(asked: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """What was asked as the form takes it."""
    for name, value in asked.items():
        if name == Axis.CONE:
            yield name, series.label_of(int(value))
        elif value != NOTHING:
            yield name, value


def level_words(name: str, value: str, names: Lookups) -> str:
    """A level as part of a sentence."""
    if name == HOLD:
        return "no hold" if value == "0" else f"{value} min hold"
    if name == Axis.BODY:
        return f"on {level_of(Axis.BODY, value, names).words}"
    return level_of(Axis(name), value, names).words


def question_words(glaze: Glaze, asked: Mapping[str, str], names: Lookups) -> str:
    """Harbour, 2 coats, on Dune speckled, cone 6, over Flux L."""
    parts = [
        level_words(name, asked[name], names)
        for name in ("coats", "over", "under", "body", "cone", "atmosphere", HOLD)
        if asked.get(name) and asked[name] != NOTHING
    ]
    return ", ".join([glaze.name, *parts])


def _shown_change(change: Change, names: Lookups, evidence: _Evidence) -> ShownChange:
    was, wanted = (level_words(change.name, value, names) for value in (change.found, change.asked))
    ends = _ends(change, names)
    return ShownChange(
        f"{was} instead of {wanted}", evidence.usual(CONDITIONS[change.name], ends) if ends else None
    )


def _ends(change: Change, names: Lookups) -> set[str]:
    """Both levels of a change as the evidence writes them; of another glaze, its name alone."""
    values = {change.asked, change.found}
    if change.name == "cone":
        return {series.label_of(int(value)) for value in values}
    if change.name == "coats":
        return {f"×{value}" for value in values}
    if change.name == "body":
        return {names.bodies.get(int(value), "") for value in values}
    if change.name == "atmosphere":
        return {Atmosphere.label_of(value) for value in values}
    if change.name == HOLD:
        return {hold_words(int(value)) for value in values}
    others = values - {NOTHING}
    is_one = NOTHING in values and not any(TOGETHER in value for value in others)
    return {names.glazes.get(int(value), "") for value in others} if is_one else set()


@dataclass(frozen=True, slots=True)
class _Chances:
    """Judged tries of each stack at each cone, whatever the clay, and what they share."""

    cells: Mapping[tuple[str, ...], Cell]
    kin: Kin


def _chances(found: Sequence[Fired], glaze: Glaze, standing: frozenset[int], kept: Answers) -> _Chances:
    def counted() -> _Chances:
        groups = grouped(OF_A_STACK, found, glaze.pk)
        cells = {levels: tries_of(group, standing) for levels, group in groups.items()}
        return _Chances(cells, Kin.of([*cells.values()]))

    chances: _Chances = kept.of(("chances", glaze.pk, standing), counted)
    return chances


def _risk(chances: _Chances, asked: Mapping[str, str]) -> RunRisk:
    """The chance that this stack runs off at this cone; cone and coats are asked for."""
    cell = chances.cells.get(tuple(asked[name] for name in OF_A_STACK))
    return RunRisk(cell.ran_off, cell.n, chances.kin.chance(cell)) if cell else RunRisk(0, 0, None)


def _cone_rule(asked: Mapping[str, str]) -> str:
    """Which results count as the cone that was asked for; nothing where any cone would do."""
    if not asked.get(Axis.CONE):
        return ""
    cone = series.label_of(int(asked[Axis.CONE]))
    return f"Cone {cone} is what the ware reached; where that lies between two cones, what it was meant for."


def _is_of_a_stack(asked: Mapping[str, str]) -> bool:
    return bool(asked.get("cone") and asked.get("coats"))


def tries_behind(glaze: Glaze, asked: Mapping[str, str]) -> list[int]:
    """The judged results of that stack at that cone on standing tiles: what ran off first, then the newest."""
    if not _is_of_a_stack(asked):
        return []
    wanted = tuple(asked[name] for name in OF_A_STACK)
    group = grouped(OF_A_STACK, fired_with(glaze).found, glaze.pk).get(wanted, [])
    standing = standing_forms()
    tries = [one for one in group if one.seen.judged and one.ware.form in standing]
    return [
        one.key for one in sorted(tries, key=lambda one: (not one.run.off, -one.day, -one.number, one.key))
    ]


def stack_words_of(glaze: Glaze, asked: Mapping[str, str]) -> str:
    """What of a question makes a stack run the same or not, in words; two queries."""
    return question_words(glaze, {name: asked[name] for name in OF_A_STACK}, lookups())


def _cautions(glaze: Glaze, asked: Mapping[str, str]) -> list[str]:
    body = ClayBody.objects.filter(pk=asked["body"]).first() if asked.get("body") else None
    known = Known(
        glazes=tuple(_known(one) for one in _stack_of(glaze, asked)),
        body=body.name if body else "",
        body_low=body.cone_low_order if body else None,
        body_high=body.cone_high_order if body else None,
        body_hold_min=body.default_hold_min if body else None,
    )
    cone, hold = asked.get("cone"), asked.get(HOLD)
    return cautions(known, int(cone) if cone else None, int(hold) if hold else None)


def _stack_of(glaze: Glaze, asked: Mapping[str, str]) -> list[Glaze]:
    """The glazes that would lie on the clay, bottom to top."""
    places = (asked.get(Axis.OVER.value), str(glaze.pk), asked.get(Axis.UNDER.value))
    keys = [int(key) for key in places if key and key != NOTHING]
    others = Glaze.objects.in_bulk(set(keys) - {glaze.pk})
    by_key = {**others, glaze.pk: glaze}
    return [by_key[key] for key in keys if key in by_key]


def _known(glaze: Glaze) -> KnownGlaze:
    return KnownGlaze(
        name=glaze.name,
        is_runner=glaze.known_runner,
        low=glaze.cone_low_order,
        high=glaze.cone_high_order or glaze.cone_low_order,
        label=glaze.cautions,
        is_flux=glaze.kind == GlazeKind.FLUX.value,
    )


def _plan(glaze: Glaze, asked: Mapping[str, str]) -> str:
    """Where the tile that would answer it is planned."""
    pairs = [("glaze", str(glaze.pk))]
    pairs += [
        (IN_PLANNER.get(Axis(name), name) if name != HOLD else name, value) for name, value in asked.items()
    ]
    return f"{reverse('tiles:planner:new')}?{urlencode(pairs)}"

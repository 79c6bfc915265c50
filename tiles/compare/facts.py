"""Results side by side as rows of words: which rows differ, and what all of them share in one sentence."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from firings.cones import series
from firings.vocabulary import Atmosphere, ReachedSource
from tiles.conditions.facts import Conditions, LayerFacts
from tiles.conditions.line import date_words
from tiles.conditions.stack import stack_words
from tiles.vocabulary import Degree, FlawKind, Method, Opacity, Severity, Surface, Verdict

UNKNOWN = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One thing about all results, a value for each; an empty value is not known.

    In what was seen, a blank says that nobody looked, so it makes no difference (`blank_is_open`); in the conditions
    it is one: a lot that was not written down may be any lot.
    """

    name: str
    values: tuple[str, ...]
    blank_is_open: bool = False

    @property
    def told(self) -> tuple[str, ...]:
        """The values that count when asking whether they differ."""
        return tuple(value for value in self.values if value) if self.blank_is_open else self.values

    @property
    def differs(self) -> bool:
        """Whether two results differ in this."""
        return len(set(self.told)) > 1

    @property
    def cells(self) -> list[tuple[str, bool]]:
        """Each value, and whether it stands out: it is not what more than half of the others say.

        >>> Row("hold", ("none", "15 min", "15 min")).cells
        [('none', True), ('15 min', False), ('15 min', False)]
        >>> Row("hold", ("none", "15 min")).cells
        [('none', True), ('15 min', True)]
        """
        usual = [value for value in set(self.told) if 2 * self.told.count(value) > len(self.told)]
        return [(value, self.differs and value in self.told and value not in usual) for value in self.values]

    @property
    def is_blank(self) -> bool:
        """Whether nothing is known of any result."""
        return not any(self.values)


@dataclass(frozen=True, slots=True)
class Aspect:
    """One condition: its name, its words, and how it is said of all results at once; nothing where it goes unsaid."""

    name: str
    words: Callable[[Conditions], str]
    said: Callable[[str], str] = lambda words: words


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen of one result, as words; all empty where nobody judged it. Flaws are (kind, severity)."""

    is_judged: bool = False
    surface: str = ""
    opacity: str = ""
    run: str = ""
    pooling: str = ""
    breaking: str = ""
    gloss: str = ""
    verdict: str = ""
    remark: str = ""
    flaws: tuple[tuple[str, str], ...] = ()


def _methods(layers: Sequence[LayerFacts]) -> str:
    """How the layers went on, bottom to top; said once where all went on alike."""
    ways = [Method.label_of(layer.method) for layer in layers]
    return ways[0] if len(set(ways)) == 1 else ", ".join(ways)


def _lots(layers: Sequence[LayerFacts]) -> str:
    """The lots that are known, each with its glaze, bottom to top."""
    return ", ".join(f"{layer.glaze} {layer.lot}" for layer in layers if layer.lot)


def _reached(one: Conditions) -> str:
    return series.number_words(one.reached_number) if one.reached_number is not None else UNKNOWN


def _cone(order: int | None) -> str:
    return series.label_of(order) if order else UNKNOWN


def _hold(words: str) -> str:
    return "no hold" if words == "none" else f"{words} hold"


def _again(words: str) -> str:
    """A first firing goes without saying."""
    return "" if words == "1" else f"firing {words} of the tile"


def _unsaid(words: str) -> str:
    return ""


# What may have made a result look as it does, in the order people ask for it.
STACK = Aspect("stack", lambda one: stack_words(one.layers))
CONDITIONS = (
    STACK,
    Aspect("way of putting on", lambda one: _methods(one.layers)),
    Aspect("lot", lambda one: _lots(one.layers), lambda words: f"lot of {words}"),
    Aspect("clay body", lambda one: one.body, lambda words: f"on {words}"),
    Aspect("texture", lambda one: "textured" if one.textured else "smooth", lambda words: f"{words} clay"),
    Aspect("target cone", lambda one: _cone(one.target_order), lambda words: f"target cone {words}"),
    Aspect("reached cone", _reached, lambda words: f"reached {words}"),
    Aspect("atmosphere", lambda one: Atmosphere.label_of(one.atmosphere)),
    Aspect("hold", lambda one: f"{one.hold_min} min" if one.hold_min else "none", _hold),
    Aspect("kiln", lambda one: one.kiln, lambda words: f"kiln {words}"),
    Aspect("shelf", lambda one: str(one.shelf) if one.shelf else UNKNOWN, lambda words: f"shelf {words}"),
    Aspect("place in the kiln", lambda one: one.place),
    Aspect("firing of the tile", lambda one: str(one.firing_count), _again),
)
# What tells results apart without being a cause.
CIRCUMSTANCES = (
    Aspect("zone", lambda one: one.zone, _unsaid),
    Aspect("tile form", lambda one: one.form, _unsaid),
    Aspect("cone read from", lambda one: ReachedSource.label_of(one.reached_source), _unsaid),
    Aspect("firing", lambda one: one.firing),
    Aspect("fired on", lambda one: date_words(one.fired_on) if one.fired_on else UNKNOWN, _unsaid),
)


def condition_rows(results: Sequence[Conditions]) -> list[Row]:
    """A row for each condition, then for each circumstance, in the order of the results."""
    return [_row(aspect, results) for aspect in (*CONDITIONS, *CIRCUMSTANCES)]


def _row(aspect: Aspect, results: Sequence[Conditions]) -> Row:
    row = Row(aspect.name, tuple(aspect.words(one) for one in results))
    return replace(row, name="coats") if aspect is STACK and row.differs and _same_glazes(results) else row


def _same_glazes(results: Sequence[Conditions]) -> bool:
    """Whether all have the same glazes over one another, so that a stack can differ in nothing but coats."""
    return len({tuple(layer.glaze for layer in one.layers) for one in results}) == 1


def shared_words(results: Sequence[Conditions]) -> str:
    """What all results have in common, in one sentence.

    >>> shared_words([])
    ''
    """
    rows = zip((*CONDITIONS, *CIRCUMSTANCES), condition_rows(results), strict=True)
    said = [aspect.said(row.values[0]) for aspect, row in rows if not row.differs and not row.is_blank]
    words = ", ".join(filter(None, said))
    return f"{'Both' if len(results) == 2 else 'All'}: {words}." if words else ""


def differing_words(results: Sequence[Conditions]) -> str:
    """Which conditions differ, in one sentence; circumstances only where nothing else does."""
    names = [row.name for row in (_row(aspect, results) for aspect in CONDITIONS) if row.differs]
    if names:
        return f"They differ in {in_a_row(names)}."
    others = [row.name for row in (_row(aspect, results) for aspect in CIRCUMSTANCES) if row.differs]
    if others:
        return f"Same conditions; they differ only in {in_a_row(others)}."
    return "Same conditions in everything written down."


def in_a_row(words: Sequence[str]) -> str:
    """
    >>> in_a_row(["stack", "hold", "kiln"]), in_a_row(["stack"])
    ('stack, hold and kiln', 'stack')
    """
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


SEEN_ASPECTS: tuple[tuple[str, Callable[[Seen], str]], ...] = (
    ("surface", lambda one: Surface.label_of(one.surface)),
    ("opacity", lambda one: Opacity.label_of(one.opacity)),
    ("run", lambda one: one.run),
    ("pooling", lambda one: Degree.label_of(one.pooling)),
    ("breaking over texture", lambda one: Degree.label_of(one.breaking)),
    ("gloss at 60°", lambda one: one.gloss),
)


def seen_rows(results: Sequence[Seen]) -> list[Row]:
    """A row for each thing that was seen on one of them at least: surface to gloss, each flaw, verdict, remark."""
    rows = [Row(name, tuple(words(one) for one in results), True) for name, words in SEEN_ASPECTS]
    kinds = [kind for kind in FlawKind if any(kind.value in dict(one.flaws) for one in results)]
    rows += [Row(kind.label, tuple(_flaw(one, kind) for one in results), True) for kind in kinds]
    rows.append(Row("verdict", tuple(Verdict.label_of(one.verdict) for one in results), True))
    rows.append(Row("remark", tuple(one.remark for one in results), True))
    return [row for row in rows if not row.is_blank]


def _flaw(one: Seen, kind: FlawKind) -> str:
    """How bad a flaw is; none on a judged zone without it, nothing on one that nobody judged."""
    if not one.is_judged:
        return UNKNOWN
    severity = dict(one.flaws).get(kind.value)
    return Severity.label_of(severity) if severity else "none"

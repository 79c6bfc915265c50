"""What a change does to each thing that is judged, in figures and in a sentence."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from tiles.conditions.apart import Condition
from tiles.evidence.matching import LOOKED_AT, Change, Match, Result
from tiles.evidence.paired import (
    FEWEST_PAIRS,
    Appearing,
    Signs,
    Verdict,
    mcnemar,
    mean_change,
    sign_test,
)
from tiles.evidence.paired import Change as MeanChange
from tiles.vocabulary import FlawKind

# Conditions that all tiles of a firing share.
OF_A_FIRING = (Condition.CONE, Condition.ATMOSPHERE, Condition.HOLD, Condition.KILN)


@dataclass(frozen=True, slots=True)
class Scale:
    """Something judged in ordered words or measured; what is said of it as its figure falls or rises."""

    name: str
    figure: Callable[[Result], float | None]
    falls: str
    rises: str
    unit: str = ""


# Ranks of surface grow from glossy to dry, so gloss falls as they rise.
ORDERED = (
    Scale("gloss", lambda one: None if one.surface is None else -one.surface, "falls", "rises"),
    Scale("opacity", lambda one: one.opacity, "falls", "rises"),
)
MEASURED = (
    Scale("run", lambda one: one.run_mm, "less", "more", "mm"),
    Scale("gloss at 60°", lambda one: one.gloss_gu, "less", "more", "GU"),
    Scale("lightness L*", lambda one: one.lightness, "darker", "lighter"),
)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing judged, before and after a change. `found` holds the figures; `sentence` says them."""

    name: str
    found: Signs | MeanChange | Appearing
    sentence: str

    @property
    def n(self) -> int:
        return self.found.n

    @property
    def verdict(self) -> Verdict:
        return self.found.verdict

    @property
    def is_clear(self) -> bool:
        return self.verdict is Verdict.CLEAR

    @property
    def signs(self) -> Signs | None:
        """For ordered words, what the bar draws."""
        return self.found if isinstance(self.found, Signs) else None


@dataclass(frozen=True, slots=True)
class Effect:
    """One change with its matches and what it does."""

    change: Change
    matches: tuple[Match, ...]
    lines: tuple[Line, ...]

    @property
    def n(self) -> int:
        return len(self.matches)

    @property
    def is_enough(self) -> bool:
        return self.n >= FEWEST_PAIRS

    @property
    def tile_count(self) -> int:
        return len({one.tile_id for match in self.matches for one in (*match.before, *match.after)})

    @property
    def is_of_one_firing(self) -> bool:
        """Whether all of one side came from one firing: then the firing itself may be what is seen."""
        sides = (
            {one.firing_id for match in self.matches for one in match.before},
            {one.firing_id for match in self.matches for one in match.after},
        )
        return self.change.condition in OF_A_FIRING and min(map(len, sides)) == 1

    @property
    def clear(self) -> list[Line]:
        return [line for line in self.lines if line.is_clear]

    @property
    def unclear(self) -> list[Line]:
        return [line for line in self.lines if not line.is_clear]


def _mean(results: Sequence[Result], figure: Callable[[Result], float | None]) -> float | None:
    known = [value for value in map(figure, results) if value is not None]
    return fmean(known) if known else None


def differences(matches: Sequence[Match], scale: Scale) -> list[float]:
    """After less before, of the matches that have the figure on both sides; rounded, so that equal is equal."""
    sides = ((_mean(match.before, scale.figure), _mean(match.after, scale.figure)) for match in matches)
    return [round(after - before, 9) for before, after in sides if before is not None and after is not None]


def pairs_words(n: int) -> str:
    return f"{n} pair{'' if n == 1 else 's'}"


def signs_words(name: str, signs: Signs, scale: Scale) -> str:
    """In a sentence: gloss falls in 9 of 11 pairs, rises in 1.

    >>> signs_words("gloss", Signs(1, 9, 1), ORDERED[0])
    'gloss falls in 9 of 11 pairs, rises in 1'
    """
    first, second = (
        ((scale.falls, signs.fell), (scale.rises, signs.rose))
        if signs.fell >= signs.rose
        else ((scale.rises, signs.rose), (scale.falls, signs.fell))
    )
    if not first[1]:
        return (
            f"{name} stays in all {pairs_words(signs.n)}" if signs.n > 1 else f"{name} stays in the one pair"
        )
    other = f", {second[0]} in {second[1] or 'none'}"
    return f"{name} {first[0]} in {first[1]} of {pairs_words(signs.n)}{other}"


def mean_words(change: MeanChange, scale: Scale) -> str:
    """In a sentence: run 1.4 mm more on average, 0.6 to 2.2."""
    estimate, unit = change.estimate, f" {scale.unit}" if scale.unit else ""
    if round(estimate.value, 1) == 0:
        return f"{scale.name} the same on average, {_signed(estimate.low)} to {_signed(estimate.high)}{unit}"
    word = scale.rises if estimate.value > 0 else scale.falls
    low, high = sorted((estimate.low, estimate.high), key=lambda end: end * (1 if estimate.value > 0 else -1))
    flip = 1 if estimate.value > 0 else -1
    return (
        f"{scale.name} {abs(estimate.value):.1f}{unit} {word} on average, {_signed(flip * low, plus=False)} to"
        f" {_signed(flip * high, plus=False)}"
    )


def _signed(value: float, *, plus: bool = True) -> str:
    rounded = round(value, 1) + 0.0
    sign = "−" if rounded < 0 else "+" if plus and rounded > 0 else ""
    return f"{sign}{abs(rounded):.1f}"


def appearing_words(name: str, found: Appearing) -> str:
    """In a sentence: crazing in 7 of 12 after, 2 of 12 before."""
    before, after = found.both + found.only_before, found.both + found.only_after
    return f"{name} in {after} of {found.n} after, {before} of {found.n} before"


def lines_of(matches: Sequence[Match]) -> list[Line]:
    """What a change does to all that was judged on both sides."""
    found: list[Line] = []
    for scale in ORDERED:
        signs = sign_test(differences(matches, scale))
        if signs.n:
            found.append(Line(scale.name, signs, signs_words(scale.name, signs, scale)))
    for scale in MEASURED:
        change = mean_change(differences(matches, scale))
        if change:
            found.append(Line(scale.name, change, mean_words(change, scale)))
    return [*found, *_appearing_lines(matches)]


def _appearing_lines(matches: Sequence[Match]) -> list[Line]:
    """Running off and each flaw seen on any side."""
    tests: list[tuple[str, Callable[[Result], bool]]] = [("ran off", lambda one: one.ran_off)]
    tests += [(kind.label, lambda one, kind=kind: kind.value in one.flaws) for kind in FlawKind]  # type: ignore[misc]
    lines = []
    for name, test in tests:
        found = mcnemar([(any(map(test, match.before)), any(map(test, match.after))) for match in matches])
        if found.n > found.neither:
            lines.append(Line(name, found, appearing_words(name, found)))
    return lines


def effects(changes: Mapping[Change, Sequence[Match]]) -> list[Effect]:
    """Every change with what it does, in the order of conditions and levels."""
    order = {condition: place for place, condition in enumerate(LOOKED_AT)}
    ordered = sorted(changes, key=lambda one: (order[one.condition], one.before, one.after))
    return [Effect(change, tuple(changes[change]), tuple(lines_of(changes[change]))) for change in ordered]

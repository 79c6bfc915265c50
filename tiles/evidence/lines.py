"""What a change does to each thing that is judged, in figures and in a sentence."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from firings.words import counted
from tiles.columns.coded import Numbers
from tiles.conditions.apart import Condition
from tiles.evidence.matching import Change, Pairing, paired
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
from tiles.evidence.results import FIGURES, RAN_OFF, Floats, Results
from tiles.vocabulary import FlawKind

# Conditions that all tiles of a firing share.
OF_A_FIRING = (Condition.CONE, Condition.ATMOSPHERE, Condition.HOLD, Condition.KILN)


@dataclass(frozen=True, slots=True)
class Scale:
    """Something judged in ordered words or measured; what is said of it as its figure falls or rises.

    figure : its place among the figures of results
    """

    name: str
    figure: int
    falls: str
    rises: str
    unit: str = ""


ORDERED = (
    Scale("gloss", FIGURES.index("gloss"), "falls", "rises"),
    Scale("opacity", FIGURES.index("opacity"), "falls", "rises"),
)
MEASURED = (
    Scale("run", FIGURES.index("run"), "less", "more", "mm"),
    Scale("gloss at 60°", FIGURES.index("gloss at 60°"), "less", "more", "GU"),
    Scale("lightness L*", FIGURES.index("lightness"), "darker", "lighter"),
)


@dataclass(frozen=True)
class Line:
    """One thing judged, before and after a change. `found` holds the figures; `sentence` says them."""

    name: str
    found: Signs | MeanChange | Appearing
    sentence: str

    @property
    def n(self) -> int:
        return self.found.n

    @cached_property
    def verdict(self) -> Verdict:
        return self.found.verdict

    @property
    def is_clear(self) -> bool:
        return self.verdict is Verdict.CLEAR

    @property
    def words(self) -> str:
        """The sentence, with a word where there are too few pairs for it."""
        return f"{self.sentence}; not enough to say" if self.verdict is Verdict.NOT_ENOUGH else self.sentence

    @cached_property
    def bootstrap(self) -> str:
        """For measured figures, the interval that asks for no bell shape: −0.2 to +1.4; else nothing."""
        if not isinstance(self.found, MeanChange):
            return ""
        interval = self.found.bootstrap
        return f"{_signed(interval.low)} to {_signed(interval.high)}"

    @property
    def signs(self) -> Signs | None:
        """For ordered words, what the bar draws."""
        return self.found if isinstance(self.found, Signs) else None


@dataclass(frozen=True)
class Effect:
    """One change with its pairs and what it does; worked out as it is asked for.

    first, end : where its pairs begin and end among those of its condition
    """

    change: Change
    pairing: Pairing
    first: int
    end: int

    @property
    def n(self) -> int:
        return self.end - self.first

    @property
    def is_enough(self) -> bool:
        return self.n >= FEWEST_PAIRS

    @property
    def _pairs(self) -> slice:
        return slice(self.first, self.end)

    def _sides(self) -> tuple[Numbers, Numbers]:
        """The places of all results before and of all after."""
        before, after = self.pairing.before[self._pairs], self.pairing.after[self._pairs]
        return self.pairing.rows_of(np.unique(before)), self.pairing.rows_of(np.unique(after))

    def keys_of(self, place: int) -> tuple[list[int], list[int]]:
        """The results before and after in one of its pairs, by their keys, the newest first."""
        sides = self.pairing.before, self.pairing.after
        before, after = (
            np.sort(self.pairing.rows_of(side[self.first + place : self.first + place + 1])) for side in sides
        )
        keys = self.pairing.results.keys
        return keys[before].tolist(), keys[after].tolist()

    @cached_property
    def tile_count(self) -> int:
        return len(np.unique(self.pairing.results.tiles[np.concatenate(self._sides())]))

    @cached_property
    def is_of_one_firing(self) -> bool:
        """Whether all of one side came from one firing: then the firing itself may be what is seen."""
        firings = self.pairing.results.firings
        return self.change.condition in OF_A_FIRING and any(
            (firings[side] == firings[side[0]]).all() for side in self._sides()
        )

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """What it does to all that was judged on both sides."""
        return (*self._ordered_lines(), *self._measured_lines(), *self._appearing_lines())

    def _differences(self, scale: Scale) -> Floats:
        found = self.pairing.differences[scale.figure][self._pairs]
        return found[~np.isnan(found)]

    def _ordered_lines(self) -> list[Line]:
        tests = [(scale, sign_test(self._differences(scale))) for scale in ORDERED]
        return [
            Line(scale.name, signs, signs_words(scale.name, signs, scale))
            for scale, signs in tests
            if signs.n
        ]

    def _measured_lines(self) -> list[Line]:
        tests = [(scale, mean_change(self._differences(scale))) for scale in MEASURED]
        return [Line(scale.name, change, mean_words(change, scale)) for scale, change in tests if change]

    def _appearing_lines(self) -> list[Line]:
        """Running off and each flaw seen on any side."""
        lines = []
        for sight, (before, after) in self.pairing.seen.items():
            found = mcnemar(before[self._pairs], after[self._pairs])
            name = sight if sight == RAN_OFF else FlawKind.label_of(sight)
            if found.n > found.neither:
                lines.append(Line(name, found, appearing_words(name, found)))
        return lines

    @cached_property
    def clear(self) -> list[Line]:
        return [line for line in self.lines if line.is_clear]

    @cached_property
    def unclear(self) -> list[Line]:
        return [line for line in self.lines if not line.is_clear]


def pairs_words(n: int) -> str:
    return counted(n, "pair")


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


def effects_of(results: Results, condition: Condition) -> list[Effect]:
    """Every change of one condition with what it does, in the order of its levels."""
    found = paired(results, condition)
    if found is None:
        return []
    bounds = found.bounds.tolist()
    return [
        Effect(change, found, first, end)
        for change, first, end in zip(found.changes, bounds, bounds[1:], strict=False)
    ]

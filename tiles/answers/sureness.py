"""How sure an answer is, as a sentence, from how often it was seen and how alike that came out.

The rule is ours (no published source): a tile is an anecdote, two firings are a repeat, and what is alike in four of
five of at least three tries of at least two firings is known. A try is one tile in one firing, whichever of its bands
fit, and counts where its surface was judged. Nothing is inferred where nothing was fired.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from firings.cones import series
from firings.vocabulary import Term
from firings.words import counted
from tiles.ranges.axes import Fired
from tiles.vocabulary import Surface

FEWEST_TRIES, FEWEST_FIRINGS, ALIKE = 3, 2, 0.8


class Grade(Term):
    """How sure."""

    KNOWN = "known", "known here"
    REPEATED = "repeated", "seen more than once"
    ONCE = "once", "seen once"
    NEAR = "near", "not fired here, but something near it"
    UNKNOWN = "unknown", "not known here"


@dataclass(frozen=True, slots=True)
class Sureness:
    """A grade, and the sentence that says what it rests on."""

    grade: Grade
    words: str


def how_sure(exact: Sequence[Fired], near: int, meant: int = 0, cone: int | None = None) -> Sureness:
    """How sure an answer is.

    exact : results fired as asked
    near : how many results are one or two changes from that
    meant : how many of these were meant for the cone asked for, reached another, and are else as asked
    cone : the rank of the cone asked for, None for any
    """
    judged = [one for one in exact if one.seen.judged]
    tries = {(one.number, one.heat.firing) for one in judged}
    firings = {one.heat.firing for one in judged}
    if not tries:
        return _unfired(len(exact), near, meant)
    surfaces = {(one.number, one.heat.firing, one.seen.surface) for one in judged if one.seen.surface}
    surface, share = _most_common(word for *_, word in surfaces)
    seen = f"{counted(len(tries), 'tile')} of {counted(len(firings), 'firing')}{_fired_at(judged, cone)}"
    alike = f"; {100 * share:.0f}\u00a0% of what was judged is {surface}" if surface else ""
    if len(tries) == 1:
        return Sureness(Grade.ONCE, f"Seen once: {seen}. One tile is a hint, not a rule.")
    told = {(number, firing) for number, firing, _ in surfaces}
    why = _why_not_known(len(told), len({firing for _, firing in told}), share)
    if why:
        return Sureness(Grade.REPEATED, f"Seen more than once, but {why}: {seen}{alike}.")
    return Sureness(Grade.KNOWN, f"Known here: {seen}{alike}.")


def _why_not_known(tries: int, firings: int, share: float) -> str:
    """What keeps tries whose surface was judged from being a rule; empty where nothing does."""
    if not tries:
        return "the surface was not judged"
    if share < ALIKE:
        return "they do not agree"
    if tries < FEWEST_TRIES:
        return "few tries"
    return "all of one firing" if firings < FEWEST_FIRINGS else ""


def _fired_at(judged: Sequence[Fired], cone: int | None) -> str:
    """What cones stand behind the one asked for, and what was meant for another; nothing where all are just that."""
    if cone is None:
        return ""
    read = sorted({one.heat.hundredths for one in judged if one.heat.hundredths is not None})
    ends = dict.fromkeys(series.number_words(Decimal(end) / 100) for end in (read[:1] + read[-1:]))
    told = "" if not ends or [*ends] == [series.label_of(cone)] else f", at cone {' to '.join(ends)}"
    strays = {(one.number, one.heat.firing, one.heat.target) for one in judged}
    others = [target for *_, target in strays if target not in (None, cone)]
    if not others:
        return told
    of_them = "" if len(others) == len(strays) else f"{len(others)} of them "
    meant = " and ".join(series.label_of(target) for target in sorted(set(others)))
    return f"{told}, {of_them}meant for cone {meant}"


def _unfired(unjudged: int, near: int, meant: int) -> Sureness:
    if unjudged:
        return Sureness(Grade.UNKNOWN, f"Fired, but not judged yet: {counted(unjudged, 'result')}.")
    if near:
        of_them = "" if meant == near else f"{meant} of them "
        told = f", {of_them}meant for this cone" if meant else ""
        come = f"{counted(near, 'result')} {'comes' if near == 1 else 'come'} near it{told}"
        return Sureness(Grade.NEAR, f"Never fired just so. {come}: read what each change does.")
    return Sureness(Grade.UNKNOWN, "Nothing like it was fired here.")


def _most_common(surfaces: Iterable[str]) -> tuple[str, float]:
    """The surface seen most, of several the glossiest, in words, and its share; nothing where none was judged.

    >>> _most_common(["dry", "glossy"]), _most_common(["glossy", "dry"])
    (('glossy', 0.5), ('glossy', 0.5))
    """
    counted = Counter(surfaces)
    if not counted:
        return "", 0.0
    surface, count = min(counted.items(), key=lambda seen: (-seen[1], Surface.values().index(seen[0])))
    return Surface.label_of(surface), count / counted.total()

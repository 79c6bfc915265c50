"""One change to many judgements: what it makes of each, and how many it touches."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from tiles.unloading.judgement import Judgement, in_order
from tiles.vocabulary import FlawKind, Opacity, Severity, Surface, Verdict

# The longest remark a result's own form takes.
LONGEST_REMARK = 2000
# Said instead of a severity: the flaw is not there.
NOT_THERE = "none"


@dataclass(frozen=True, slots=True)
class Change:
    """What many results are to say alike; an empty word leaves a thing as it stands on each.

    remark : a sentence added to whatever the remark says
    flaw, severity : a flaw set to a severity, or taken off where the severity is `NOT_THERE`
    """

    surface: str = ""
    opacity: str = ""
    verdict: str = ""
    remark: str = ""
    flaw: str = ""
    severity: str = ""

    @property
    def says_something(self) -> bool:
        return bool(self.surface or self.opacity or self.verdict or self.remark or self.flaw)

    @property
    def words(self) -> list[str]:
        """What changes, a line each.

        >>> Change(surface="satin", flaw="crazing", severity="none").words
        ['Surface: satin', 'crazing: not there']
        """
        said = (
            ("Surface", Surface.label_of(self.surface)),
            ("Opacity", Opacity.label_of(self.opacity)),
            ("Verdict", Verdict.label_of(self.verdict)),
            (FlawKind.label_of(self.flaw) if self.flaw else "", self._severity_words),
            ("Remark, added", self.remark),
        )
        return [f"{name}: {words}" for name, words in said if name and words]

    @property
    def _severity_words(self) -> str:
        return "not there" if self.severity == NOT_THERE else Severity.label_of(self.severity)

    def applied(self, judgement: Judgement) -> Judgement:
        """What a judgement says after the change.

        >>> Change(remark="Rub it.").applied(Judgement(surface="dry", remark="Chalky.")).remark
        'Chalky. Rub it.'
        """
        return replace(
            judgement,
            surface=self.surface or judgement.surface,
            opacity=self.opacity or judgement.opacity,
            verdict=self.verdict or judgement.verdict,
            remark=self._remark(judgement.remark),
            flaws=self._flaws(judgement.flaws),
        )

    def _remark(self, remark: str) -> str:
        """Said once: a remark that ends so already stays."""
        if not self.remark or remark.endswith(self.remark):
            return remark
        return f"{remark.rstrip()} {self.remark}".lstrip()

    def _flaws(self, flaws: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
        if not self.flaw:
            return flaws
        others = [flaw for flaw in flaws if flaw[0] != self.flaw]
        return in_order(others if self.severity == NOT_THERE else [*others, (self.flaw, self.severity)])


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a change comes to, by the results' keys.

    changed : the judgements that become others
    same : results that say so already
    unjudged : results nobody judged that the change would leave without anything seen on them
    too_long : results whose remark would be too long
    """

    changed: Mapping[int, Judgement]
    same: tuple[int, ...] = ()
    unjudged: tuple[int, ...] = ()
    too_long: tuple[int, ...] = ()


def outlook(
    judgements: Mapping[int, Judgement], change: Change, *, unjudged: Collection[int] = ()
) -> Outlook:
    """What a change would make of these judgements; `unjudged` names the results that nobody judged yet.

    A verdict alone is no judgement, so with it what nobody judged stays out.

    >>> found = outlook({1: Judgement(surface="dry"), 2: Judgement()}, Change(verdict="reject"), unjudged=[2])
    >>> list(found.changed), found.unjudged
    ([1], (2,))
    """
    after = {key: change.applied(judgement) for key, judgement in judgements.items()}
    same = [key for key, judgement in judgements.items() if after[key] == judgement]
    blank = [key for key in after if key in unjudged and not after[key].says_something]
    too_long = [key for key in after if key not in same and len(after[key].remark) > LONGEST_REMARK]
    stay = {*same, *blank, *too_long}
    return Outlook(
        {key: judgement for key, judgement in after.items() if key not in stay},
        tuple(key for key in same if key not in blank),
        tuple(blank),
        tuple(too_long),
    )

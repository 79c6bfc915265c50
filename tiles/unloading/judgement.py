"""What a person saw on one zone after one firing."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from tiles.tilepage.judged import judged_words
from tiles.vocabulary import FlawKind, Severity, Verdict

# Runs that have a button of their own [mm]: each about twice the one before, as finer is not read by eye on a tile
# (common practice, no source). Any other run is typed.
RUNS_MM = (0, 1, 2, 4, 8)
# A run as long as this would leave any tile [mm]; a larger figure is a slip of the pen.
LONGEST_RUN_MM = 500


@dataclass(frozen=True, slots=True)
class Judgement:
    """One zone as it was seen. Empty text and None say that a thing was not judged; flaws are (kind, severity)."""

    surface: str = ""
    opacity: str = ""
    run_mm: Decimal | None = None
    runs_off: bool = False
    pooling: str = ""
    breaking: str = ""
    gloss_gu: Decimal | None = None
    verdict: str = ""
    remark: str = ""
    flaws: tuple[tuple[str, str], ...] = ()

    @property
    def says_something(self) -> bool:
        """Whether more was seen than how far it ran."""
        return bool(
            self.surface or self.opacity or self.flaws or self.remark or self.runs_off or self.gloss_gu
        )


def in_order(flaws: Sequence[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Flaws in the order of the closed list, so that equal judgements are equal."""
    if len(flaws) < 2:
        return tuple(flaws)
    order = FlawKind.values()
    return tuple(sorted(flaws, key=lambda flaw: order.index(flaw[0])))


def expected(surface: str, opacity: str) -> Judgement:
    """What to start from on a zone that nobody judged: what the glaze on top promises, and no run."""
    return Judgement(surface=surface, opacity=opacity, run_mm=Decimal(0))


def judgement_words(judgement: Judgement) -> str:
    """A judgement in one line, flaws, verdict and remark with it.

    >>> seen = Judgement("satin", "opaque", Decimal(0), flaws=(("pinholing", "slight"),), verdict="keep")
    >>> judgement_words(seen)
    'satin, opaque, no run; slight pinholing; keep'
    """
    look = judged_words(judgement)  # frozen, and only read
    gloss = f"{judgement.gloss_gu.normalize():f} GU" if judgement.gloss_gu is not None else ""
    flaws = (f"{Severity.label_of(severity)} {FlawKind.label_of(kind)}" for kind, severity in judgement.flaws)
    parts = (
        ", ".join(filter(None, (look, gloss))),
        ", ".join(flaws),
        Verdict.label_of(judgement.verdict),
        judgement.remark,
    )
    return "; ".join(filter(None, parts))

"""What was seen on a zone, in a few words; lengths as the studio likes them."""

from decimal import ROUND_HALF_UP, Decimal
from typing import Literal, Protocol

from tiles.vocabulary import Degree, Opacity, Surface

NO_BREAK = "\u00a0"
MM_PER_INCH = Decimal("25.4")


class Seen(Protocol):
    """What a judgement says of one zone; an outcome is one."""

    @property
    def surface(self) -> str: ...
    @property
    def opacity(self) -> str: ...
    @property
    def run_mm(self) -> Decimal | None: ...
    @property
    def runs_off(self) -> bool: ...
    @property
    def pooling(self) -> str: ...
    @property
    def breaking(self) -> str: ...


def length_words(mm: Decimal, unit: Literal["mm", "in"] = "mm") -> str:
    """A length in words: 2.5 mm, or 0.10 in, its unit never on another line.

    >>> length_words(Decimal("2.0")), length_words(Decimal("2.5"), "in")
    ('2\xa0mm', '0.10\xa0in')
    """
    if unit == "in":
        return f"{(mm / MM_PER_INCH).quantize(Decimal('0.01'), ROUND_HALF_UP)}{NO_BREAK}in"
    return f"{mm.normalize():f}{NO_BREAK}mm"


def run_words(seen: Seen, unit: Literal["mm", "in"] = "mm") -> str:
    """How far it ran; nothing where that was not judged."""
    if seen.run_mm is None:
        return "ran off the foot" if seen.runs_off else ""
    run = "no run" if not seen.run_mm else f"run {length_words(seen.run_mm, unit)}"
    return f"{run}, off the foot" if seen.runs_off else run


def judged_words(seen: Seen, unit: Literal["mm", "in"] = "mm") -> str:
    """What was seen, as on a card: satin, opaque, run 2 mm, slight pooling. Flaws and remarks stand apart."""
    pooling = f"{seen.pooling} pooling" if seen.pooling not in ("", Degree.NONE.value) else ""
    breaking = f"breaks over texture, {seen.breaking}" if seen.breaking not in ("", Degree.NONE.value) else ""
    words = (
        Surface.label_of(seen.surface),
        Opacity.label_of(seen.opacity),
        run_words(seen, unit),
        pooling,
        breaking,
    )
    return ", ".join(filter(None, words))

"""What to mind before firing what was asked for, from what labels and the studio know."""

from collections.abc import Iterator
from dataclasses import dataclass

from firings.cones import series


@dataclass(frozen=True, slots=True)
class KnownGlaze:
    """What the catalogue says of a glaze; None and empty words where it says nothing."""

    name: str
    is_runner: bool = False
    low: int | None = None
    high: int | None = None
    label: str = ""
    is_flux: bool = False


@dataclass(frozen=True, slots=True)
class Known:
    """What the catalogue says of the glazes of a stack, bottom to top, and of the clay body."""

    glazes: tuple[KnownGlaze, ...]
    body: str = ""
    body_low: int | None = None
    body_high: int | None = None
    body_hold_min: int | None = None


def cautions(known: Known, cone: int | None, hold_min: int | None) -> list[str]:
    """Sentences that say what to mind and what to do about it; the labels' own words first."""
    labels = dict.fromkeys(_label_words(glaze, of=len(known.glazes)) for glaze in known.glazes)
    found = [words for words in labels if words]
    for glaze in known.glazes:
        found += _of_glaze(glaze, cone)
    if any(glaze.is_flux for glaze in known.glazes[:-1]):
        found.append("A flux under a glaze may run: put the piece on a cookie and keep the foot bare.")
    return [*found, *_of_body(known, cone, hold_min)]


def _label_words(glaze: KnownGlaze, *, of: int) -> str:
    """What a label warns of, with whose label it is where the stack has several glazes."""
    words = glaze.label.strip()
    return f"{glaze.name}: {words}" if words and of > 1 else words


def _of_glaze(glaze: KnownGlaze, cone: int | None) -> Iterator[str]:
    if glaze.is_runner:
        yield f"{glaze.name} is known to run: put the piece on a cookie and keep the foot bare."
    if cone is None:
        return
    if glaze.high is not None and cone > glaze.high:
        high = series.label_of(glaze.high)
        yield f"The label of {glaze.name} goes up to cone {high}: hotter it may run, craze or change."
    if glaze.low is not None and cone < glaze.low:
        low = series.label_of(glaze.low)
        yield f"The label of {glaze.name} begins at cone {low}: cooler it may stay dry and unripe."


def _of_body(known: Known, cone: int | None, hold_min: int | None) -> Iterator[str]:
    if cone is not None and known.body_high is not None and cone > known.body_high:
        high = series.label_of(known.body_high)
        yield f"{known.body} matures by cone {high} and may bloat or slump beyond it: stand it on a cookie."
    if cone is not None and known.body_low is not None and cone < known.body_low:
        low = series.label_of(known.body_low)
        yield f"{known.body} matures from cone {low}: cooler it stays open and soaks up water."
    if known.body_hold_min and hold_min is not None and hold_min < known.body_hold_min:
        yield f"{known.body} is always held {known.body_hold_min} min here."

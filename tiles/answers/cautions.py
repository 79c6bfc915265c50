"""What to mind before firing what was asked for, from what labels and the studio know."""

from collections.abc import Iterator
from dataclasses import dataclass

from firings.cones import series


@dataclass(frozen=True, slots=True)
class Known:
    """What the catalogue says of the glaze and the clay body; None and empty words where it says nothing."""

    glaze: str
    known_runner: bool = False
    glaze_low: int | None = None
    glaze_high: int | None = None
    label: str = ""
    body: str = ""
    body_low: int | None = None
    body_high: int | None = None
    body_hold_min: int | None = None


def cautions(known: Known, cone: int | None, hold_min: int | None) -> list[str]:
    """Sentences that say what to mind and what to do about it; the label's own words first."""
    return [*filter(None, [known.label.strip()]), *_of_glaze(known, cone), *_of_body(known, cone, hold_min)]


def _of_glaze(known: Known, cone: int | None) -> Iterator[str]:
    if known.known_runner:
        yield f"{known.glaze} is known to run: put the piece on a cookie and keep the foot bare."
    if cone is None:
        return
    if known.glaze_high is not None and cone > known.glaze_high:
        yield f"Its label goes up to cone {series.label_of(known.glaze_high)}: hotter it may run, craze or change."
    if known.glaze_low is not None and cone < known.glaze_low:
        yield f"Its label begins at cone {series.label_of(known.glaze_low)}: cooler it may stay dry and unripe."


def _of_body(known: Known, cone: int | None, hold_min: int | None) -> Iterator[str]:
    if cone is not None and known.body_high is not None and cone > known.body_high:
        high = series.label_of(known.body_high)
        yield f"{known.body} matures by cone {high} and may bloat or slump beyond it: stand it on a cookie."
    if cone is not None and known.body_low is not None and cone < known.body_low:
        low = series.label_of(known.body_low)
        yield f"{known.body} matures from cone {low}: cooler it stays open and soaks up water."
    if known.body_hold_min and hold_min is not None and hold_min < known.body_hold_min:
        yield f"{known.body} is always held {known.body_hold_min} min here."

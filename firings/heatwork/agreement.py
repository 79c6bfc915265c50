"""Witness cones, curve, controller and target side by side: what each says, how far apart they are, which decides."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import hypot

from firings.cones import series
from firings.estimate import Estimate
from firings.heatwork.correction import difference_c
from firings.heatwork.ladder import end_point_60_c
from firings.heatwork.reached import Evidence, reached_by
from firings.heatwork.uncertainty import Sensor, spread_of_cone_c
from firings.notice import Notice, apart
from firings.vocabulary import ReachedSource

# How far a bend read by eye may be off: a quarter of a cone (common practice, no source). The relation between bend and
# heat work is not published, so a cone part-way down is a fair guess.
EYE_PM_CONES = 0.25
WHY = {
    ReachedSource.WITNESS: "Witness cones decide: they stood by the ware and saw what it saw.",
    ReachedSource.CURVE: "The logged curve decides, as no witness cone was read.",
    ReachedSource.CONTROLLER: "The controller decides, as neither witness cones nor a curve were read.",
    ReachedSource.TARGET: "The target stands in, as nothing was read.",
}


@dataclass(frozen=True, slots=True)
class Voice:
    """One piece of evidence: who says it, the decimal cone, and how far it may be off [°C]; a target is a wish."""

    source: ReachedSource
    number: Decimal
    pm_c: float | None
    basis: Notice

    @property
    def words(self) -> str:
        return series.number_words(self.number)

    @property
    def pm_words(self) -> Notice:
        """How far it may be off; nothing for a wish."""
        return Notice() if self.pm_c is None else Notice("about ±", apart(self.pm_c))


@dataclass(frozen=True, slots=True)
class Line:
    """A voice against the one that decides: apart in cones and, on a plain 60 °C/h ramp, in °C."""

    voice: Voice
    decides: bool
    cones_apart: float | None
    apart_c: float | None
    is_beyond: bool

    @property
    def apart_words(self) -> Notice:
        """How far from the deciding evidence; nothing for that itself."""
        if self.cones_apart is None or self.apart_c is None:
            return Notice()
        if abs(self.cones_apart) < 0.05:
            return Notice("the same")
        cones = f"{self.cones_apart:+.1f} cone, about ".replace("-", "−")
        return Notice(cones, apart(self.apart_c, signed=True))


@dataclass(frozen=True, slots=True)
class Agreement:
    """All voices, the best evidence first, and what is to be said of them."""

    lines: tuple[Line, ...]
    why: str
    disagreements: tuple[Notice, ...]


def by_cones(number: Decimal, places: Sequence[Decimal]) -> Voice:
    """What the witness cones say; the places' own spread counts into how far they may be off."""
    eye_c = abs(difference_c(float(number) + EYE_PM_CONES, float(number) - EYE_PM_CONES)) / 2
    spread_c = abs(difference_c(float(max(places)), float(min(places)))) / 2 if places else 0.0
    many = f"{len(places)} places" if len(places) != 1 else "1 place"
    return Voice(
        ReachedSource.WITNESS,
        number,
        hypot(eye_c, spread_c),
        Notice(f"{many}, each read to a quarter of a cone"),
    )


def by_curve(interval: Estimate) -> Voice:
    """What the logged curve says, with the interval it came with."""
    pm_c = max(difference_c(interval.high, interval.value), difference_c(interval.value, interval.low))
    basis = interval.basis
    return Voice(
        ReachedSource.CURVE,
        _hundredth(interval.value),
        pm_c,
        basis if isinstance(basis, Notice) else Notice(basis),
    )


def by_controller(number: Decimal) -> Voice:
    """What the controller says, as sure as its thermocouple may be taken to be."""
    sensor, peak_c = Sensor(), end_point_60_c(float(number))
    return Voice(ReachedSource.CONTROLLER, number, spread_of_cone_c(sensor, peak_c), sensor.words(peak_c))


def by_target(number: Decimal) -> Voice:
    """The wish."""
    return Voice(ReachedSource.TARGET, number, None, Notice("what the firing was meant to reach"))


def agree(voices: Sequence[Voice]) -> Agreement | None:
    """Set the voices side by side; None where there are none.

    Two disagree where they are further apart than both may be off together, in quadrature.

    >>> found = agree([by_controller(Decimal("6")), by_cones(Decimal("4.2"), [Decimal("4.2")])])
    >>> found.disagreements
    ('The controller says 6, the witness cones 4.2: 51 °C more, beyond the ±12 °C both may be off together.',)
    """
    by_source = {voice.source: voice for voice in voices}
    reached = reached_by(Evidence(**{source.value: voice.number for source, voice in by_source.items()}))
    if reached is None:
        return None
    best = by_source[reached.source]
    ordered = [by_source[source] for source in ReachedSource if source in by_source]
    lines = tuple(_against(best, voice) for voice in ordered)
    beyond = tuple(_beyond_words(best, line) for line in lines if line.is_beyond)
    return Agreement(lines, WHY[best.source], beyond)


def _against(best: Voice, voice: Voice) -> Line:
    if voice is best:
        return Line(voice, True, None, None, False)
    apart_c = difference_c(float(voice.number), float(best.number))
    known = voice.pm_c is not None and best.pm_c is not None
    is_beyond = known and abs(apart_c) > hypot(voice.pm_c or 0, best.pm_c or 0)
    return Line(voice, False, float(voice.number - best.number), apart_c, is_beyond)


def _beyond_words(best: Voice, line: Line) -> Notice:
    apart_c = line.apart_c or 0.0
    together_c = hypot(line.voice.pm_c or 0, best.pm_c or 0)
    leads = "more" if apart_c > 0 else "less"
    return Notice(
        f"The {line.voice.source.label} says {line.voice.words}, the {best.source.label} {best.words}: ",
        apart(abs(apart_c)),
        f" {leads}, beyond the ±",
        apart(together_c),
        " both may be off together.",
    )


def _hundredth(number: float) -> Decimal:
    return Decimal(str(number)).quantize(Decimal("0.01"))

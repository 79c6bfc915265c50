"""The hold, or the top temperature, with which a programme reaches a cone: a band, and what may be filled in."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from firings.cones import series
from firings.estimate import Estimate
from firings.heatwork.hold import OutOfReach, hold_for, top_for
from firings.heatwork.holdrule import LONGEST_RULED_MIN
from firings.heatwork.predict import ASSUMED_RISE_C_PER_H, Prediction
from firings.programmes.segments import Segment, Unit
from firings.programmes.words import duration_words, plain, temp_figure, temp_words

BY_TABLE, BY_RULE = "the cone table’s model", "the published hold rule"


@dataclass(frozen=True, slots=True)
class Filling:
    """What one end of the band says: the text for the box, the words for its button."""

    text: str
    words: str
    basis: str


@dataclass(frozen=True, slots=True)
class Way:
    """One way to the cone: the box it fills (hold or target), the band in words, and its ends to choose from."""

    box: str
    words: str
    fillings: tuple[Filling, ...]


@dataclass(frozen=True, slots=True)
class Reach:
    """How a programme reaches a cone by its top segment; `trouble` says why a way is closed."""

    cone: str
    segment: int
    ways: tuple[Way, ...]
    trouble: str = ""


def top_segment(segments: Sequence[Segment]) -> int:
    """The place of the segment that leads to the top.

    >>> top_segment([Segment(150.0, 1100.0), Segment(60.0, 1222.0), Segment(100.0, 900.0)])
    1
    """
    return max(range(len(segments)), key=lambda place: (segments[place].target_c, -place))


def rule_end(found: Estimate) -> float:
    """The published rule's end of the band; the value is the model's."""
    return found.high if found.value - found.low < found.high - found.value else found.low


def _minutes(figure: float) -> str:
    return str(math.ceil(figure - 1e-6))


def hold_way(order: int, rate_c_per_h: float, peak_c: float, unit: Unit) -> Way:
    """The hold at the top that is there; raises OutOfReach where it would take more than a day."""
    found = hold_for(order, rate_c_per_h, peak_c)
    fillings = [
        Filling(_minutes(minutes), duration_words(math.ceil(minutes - 1e-6) / 60), basis)
        for minutes, basis in ((found.value, BY_TABLE), (rule_end(found), BY_RULE))
    ]
    at = temp_words(peak_c, unit)
    if found.high <= 0:
        return Way("hold", f"It is down at {at} without a hold.", ())
    low, high = sorted(fillings, key=lambda filling: int(filling.text))
    long = " That is long: rules for holds end at 2 h; fire hotter." if found.low > LONGEST_RULED_MIN else ""
    return Way("hold", f"Hold {low.words} to {high.words} at {at}.{long}", tuple(fillings))


def top_way(order: int, rate_c_per_h: float, hold_min: float, unit: Unit) -> Way:
    """The top temperature with the hold that is there."""
    found = top_for(order, rate_c_per_h, hold_min)
    fillings = tuple(
        Filling(temp_figure(round(temp_c), unit), temp_words(round(temp_c), unit), basis)
        for temp_c, basis in ((found.value, BY_TABLE), (rule_end(found), BY_RULE))
    )
    held = f"With {plain(hold_min)} min of hold" if hold_min else "Without a hold"
    if round(found.low) == round(found.high):
        return Way("target", f"{held}, fire to {fillings[0].words}.", fillings[:1])
    low, high = temp_words(round(found.low), unit), temp_words(round(found.high), unit)
    return Way("target", f"{held}, fire to {low} to {high}.", fillings)


def reach(segments: Sequence[Segment], order: int, prediction: Prediction, unit: Unit) -> Reach:
    """How a programme's top segment reaches a cone, its rate as it is over the last 100 °C.

    >>> from firings.heatwork.predict import predict
    >>> held = [Segment(60.0, 1186.0)]
    >>> [way.words for way in reach(held, 30, predict(held), Unit.CELSIUS).ways]
    ['Hold 1 h 12 min to 2 h 42 min at 1186 °C.', 'Without a hold, fire to 1220 °C.']
    """
    place = top_segment(segments)
    top = segments[place]
    rate = prediction.equivalent.rate_c_per_h or top.rate_c_per_h or ASSUMED_RISE_C_PER_H
    label = series.label_of(order)
    ways, trouble = [], ""
    try:
        ways.append(hold_way(order, rate, top.target_c, unit))
    except OutOfReach as closed:
        trouble = closed.words.words(unit)
    except ValueError:
        return Reach(
            label, place, (), f"No hold is worked out for cone {label}: choose a whole cone from 019 to 14."
        )
    ways.append(top_way(order, rate, top.hold_min, unit))
    return Reach(label, place, tuple(ways), trouble)

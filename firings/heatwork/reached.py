"""Which evidence decides the cone the ware really saw: witness cones, then curve, then controller, then target."""

from dataclasses import dataclass
from decimal import Decimal

from firings.heatwork.counted import counted_as
from firings.vocabulary import ReachedSource


@dataclass(frozen=True, slots=True)
class Reached:
    """A reached cone: decimal on the scale of whole cones, rank of the cone it counts as, and where it comes from."""

    number: Decimal
    order: int
    source: ReachedSource


@dataclass(frozen=True, slots=True)
class Evidence:
    """What is known of a firing's heat work, each as a decimal cone or nothing."""

    witness: Decimal | None = None
    curve: Decimal | None = None
    controller: Decimal | None = None
    target: Decimal | None = None


def reached_by(evidence: Evidence) -> Reached | None:
    """The reached cone by the best evidence there is; None where there is none.

    Order of trust as in design: a cone by the ware saw what the ware saw; a sensor in the wall did not
    (common practice, no source).

    >>> reached_by(Evidence(controller=Decimal(6), target=Decimal(6))).source.label
    'controller'
    """
    for source in ReachedSource:
        number: Decimal | None = getattr(evidence, source.value)
        if number is not None:
            return Reached(number, counted_as(number, evidence.target).order, source)
    return None

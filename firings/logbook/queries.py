"""What the logbook asks of firings."""

from datetime import datetime
from typing import Any

from django.utils import timezone

from firings.cones import series
from firings.estimate import Estimate
from firings.heatwork import agreement
from firings.heatwork.witness import what_they_say
from firings.keys import is_key
from firings.logbook.evidence import by_place, witness_number
from firings.logbook.services import reading_of
from firings.logbook.states import is_through_the_fire
from firings.models import Firing, Kiln, WitnessCone
from firings.notice import notice_from
from firings.vocabulary import FiringState, Purpose

# What the next firing most likely shares with the last one.
SHARED = ("kiln", "purpose", "target_order", "atmosphere", "hold_min")


def years_fired() -> list[int]:
    """The years with firings, newest first."""
    return [moment.year for moment in Firing.objects.datetimes("started_at", "year", order="DESC")]


def plan_like_the_last(cone: str = "", kiln: str = "") -> dict[str, Any]:
    """What a new firing's form starts with: the facts of the one planned last, or what a first firing mostly is.

    With the cone of tiles that wait, it is a glaze firing to that cone; with a kiln's key it is like the last in that
    kiln. What names no cone or no kiln is passed over.
    """
    asked = Kiln.objects.filter(pk=kiln).first() if is_key(kiln) else None
    firings = Firing.objects.filter(kiln=asked) if asked else Firing.objects.all()
    last = firings.first() or Firing(kiln=asked or Kiln.objects.first())
    like = {name: getattr(last, name) for name in SHARED if getattr(last, f"{name}_id", True) is not None}
    try:
        return like | {"purpose": Purpose.GLAZE.value, "target_order": series.order_of(cone)}
    except ValueError:
        return like


def likely_start(firing: Firing) -> datetime:
    """When a firing that is being marked fired most likely started: as planned, unless that is still to come."""
    now = timezone.now()
    planned = firing.started_at
    return planned if planned and planned <= now else now


def cones_by_place(firing: Firing) -> list[dict[str, Any]]:
    """The witness cones of a firing, top shelf first, each place with what its cones say together."""
    cones = list(firing.witness_cones.select_related("shelf"))
    said = by_place(reading_of(cone) for cone in cones)
    places: dict[tuple[int | None, str], list[WitnessCone]] = {}
    for cone in sorted(cones, key=lambda cone: (-(cone.shelf.position if cone.shelf else 0), cone.place)):
        places.setdefault((cone.shelf_id, cone.place.casefold()), []).append(cone)
    return [
        {
            "cones": found,
            "first": found[0],
            "number": said.get(place),
            "said": what_they_say((cone.order, cone.bend_deg) for cone in found),
        }
        for place, found in places.items()
    ]


def agreement_of(firing: Firing) -> agreement.Agreement | None:
    """All evidence of a firing that is through, side by side; None where there is none."""
    if not is_through_the_fire(firing.state):
        return None
    readings = [reading_of(cone) for cone in firing.witness_cones.all()]
    interval = _counting_interval(firing)
    voices = []
    if (number := witness_number(readings)) is not None:
        voices.append(agreement.by_cones(number, list(by_place(readings).values())))
    if interval is not None:
        voices.append(agreement.by_curve(interval))
    if firing.controller_number is not None:
        voices.append(agreement.by_controller(firing.controller_number))
    if firing.target_order:
        voices.append(agreement.by_target(series.of_order(firing.target_order).number))
    return agreement.agree(voices)


def _counting_interval(firing: Firing) -> Estimate | None:
    """What the curve that counts says, with its interval."""
    curve = firing.curves.defer("samples").first()
    interval = curve.counted.get("interval") if curve else None
    if not interval:
        return None
    basis = notice_from(interval["basis"])
    return Estimate(interval["value"], interval["low"], interval["high"], None, basis)


def states_with_marks(firing: Firing) -> list[dict[str, Any]]:
    """The four states in order, each with whether the firing is past it or in it."""
    order = list(FiringState)
    here = order.index(FiringState(firing.state))
    return [
        {"label": state.label, "is_past": at < here, "is_now": at == here} for at, state in enumerate(order)
    ]

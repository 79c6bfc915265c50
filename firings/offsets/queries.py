"""What a kiln's firings have shown of its sensor, and what its curves' figures rest on."""

from django.db.models import F, QuerySet

from firings.heatwork.correction import KilnOffset
from firings.models import Curve, Firing
from firings.offsets.learning import Footing, Moment, Pair, offset_before, told_off_s
from firings.vocabulary import FIRED, ReachedSource

IN_TIME = (F("firing__started_at").asc(nulls_last=True), "firing", "pk")


def pairs_of(kiln_id: int) -> list[Pair]:
    """The firings of a kiln that have both witness cones and a curve, oldest first: the one source of every offset.

    Of a firing's curves the one that counts speaks, as its sensor read.
    """
    rows = (
        Curve.objects.counting()
        .filter(
            firing__kiln=kiln_id,
            firing__binned_at__isnull=True,
            firing__state__in=FIRED,
            firing__reached_source=ReachedSource.WITNESS.value,
        )
        .order_by(*IN_TIME)
        .values_list("firing__started_at", "firing", "firing__reached_number", "heat__number")
    )
    return [
        Pair(Moment(at, firing_id), float(witness), float(curve))
        for at, firing_id, witness, curve in rows
        if witness is not None and curve is not None
    ]


def curves_in_time(kiln_id: int) -> QuerySet[Curve]:
    """The curves of a kiln's firings in use, oldest firing first."""
    return Curve.objects.filter(firing__kiln=kiln_id, firing__binned_at__isnull=True).order_by(*IN_TIME)


def footings(curves: QuerySet[Curve]) -> list[Footing]:
    """What these curves' figures rest on, without their readings."""
    rows = curves.values_list(
        "pk",
        "firing__started_at",
        "firing",
        "firing__ended_at",
        "started_at",
        "heat__told_off_s",
        "corrected__correction",
    )
    return [
        Footing(pk, Moment(at, firing_id), told_off_s(ended_at, began_at), kept, correction)
        for pk, at, firing_id, ended_at, began_at, kept, correction in rows
    ]


def moment_of(firing: Firing) -> Moment:
    return Moment(firing.started_at, firing.pk)


def offset_for(firing: Firing) -> KilnOffset | None:
    """The correction that this firing's curves get."""
    others = [pair for pair in pairs_of(firing.kiln_id) if pair.moment.firing_id != firing.pk]
    return offset_before(others, moment_of(firing))

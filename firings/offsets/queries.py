"""What a kiln's firings have shown of its sensor, and what its curves' figures rest on."""

from django.db.models import F, Q, QuerySet

from firings.heatwork.correction import LAST_FIRINGS, KilnOffset, counted_offset
from firings.models import Curve, Firing
from firings.offsets.learning import Footing, Moment, Pair, told_off_s
from firings.vocabulary import FIRED, ReachedSource

IN_TIME = (F("firing__started_at").asc(nulls_last=True), "firing", "pk")


def _with_both(kiln_id: int) -> QuerySet[Curve]:
    """Of a kiln's firings with both witness cones and a curve, the curve that counts: the one source of offsets."""
    return (
        Curve.objects.counting()
        .filter(
            firing__kiln=kiln_id,
            firing__binned_at__isnull=True,
            firing__state__in=FIRED,
            firing__reached_source=ReachedSource.WITNESS.value,
            heat__number__isnull=False,
        )
        .exclude(heat__number=None)
    )


def _pairs(curves: QuerySet[Curve]) -> list[Pair]:
    """By the curve as its sensor read."""
    rows = curves.values_list("firing__started_at", "firing", "firing__reached_number", "heat__number")
    return [
        Pair(Moment(at, firing_id), float(seen), float(said))
        for at, firing_id, seen, said in rows
        if seen is not None
    ]


def pairs_of(kiln_id: int) -> list[Pair]:
    """The firings of a kiln that have both, oldest first."""
    return _pairs(_with_both(kiln_id).order_by(*IN_TIME))


def pairs_before(firing: Firing) -> list[Pair]:
    """The last ones before a firing, oldest first."""
    others = _with_both(firing.kiln_id).exclude(firing=firing.pk)
    if firing.started_at is not None:
        same_time = Q(firing__started_at=firing.started_at, firing__lt=firing.pk)
        others = others.filter(Q(firing__started_at__lt=firing.started_at) | same_time)
    newest_first = others.order_by(F("firing__started_at").desc(nulls_first=True), "-firing")
    return _pairs(newest_first[:LAST_FIRINGS])[::-1]


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


def offset_for(firing: Firing) -> KilnOffset | None:
    """The correction that this firing's curves get."""
    return counted_offset([pair.numbers for pair in pairs_before(firing)])

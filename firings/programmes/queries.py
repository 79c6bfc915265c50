"""What the pages of programmes ask."""

from collections.abc import Sequence

from django.db.models import Count, Max, Q, QuerySet

from firings.heatwork.correction import counted_offset
from firings.heatwork.predict import KilnFigures
from firings.heatwork.uncertainty import Sensor
from firings.models import Firing, Kiln, Programme
from firings.offsets.queries import pairs_of
from firings.programmes.segments import Segment
from firings.vocabulary import FIRED

LAST_FIRINGS = 12


def segments_of(programme: Programme) -> list[Segment]:
    """A programme's segments as plain figures, in order."""
    return [
        Segment(
            None if segment.rate_c_per_h is None else float(segment.rate_c_per_h),
            float(segment.target_c),
            float(segment.hold_min),
        )
        for segment in programme.segments.all()
    ]


def latest_programmes() -> QuerySet[Programme]:
    """The last version of each programme in use."""
    newer = Programme.objects.filter(supersedes__isnull=False).values("supersedes")
    return Programme.objects.exclude(pk__in=newer)


def programmes_for_list() -> QuerySet[Programme]:
    """The last versions with their segments and what fired them."""
    fired = Q(firings__binned_at__isnull=True, firings__state__in=FIRED)
    return (
        latest_programmes()
        .prefetch_related("segments")
        .annotate(
            firing_count=Count("firings", filter=fired, distinct=True),
            last_fired=Max("firings__started_at", filter=fired),
        )
        .order_by("name")
    )


def was_fired(programme: Programme) -> bool:
    """Whether a firing went through the fire on it, be it in the bin by now."""
    return Firing.everything.filter(programme=programme, state__in=FIRED).exists()


def latest_of(programme: Programme) -> Programme:
    """The last version that followed this one, itself where none did."""
    seen = {programme.pk}
    while newer := Programme.objects.filter(supersedes=programme.pk).exclude(pk__in=seen).last():
        programme = newer
        seen.add(newer.pk)
    return programme


def lineage_of(programme: Programme) -> list[Programme]:
    """All versions of a programme in use, newest first."""
    links = dict(Programme.everything.values_list("pk", "supersedes"))
    members = _linked(programme.pk, links)
    return list(Programme.objects.filter(pk__in=members).order_by("-version"))


def _linked(start: int, links: dict[int, int | None]) -> set[int]:
    """All that hang together with one programme by versions."""
    members, todo = set(), {start}
    while todo:
        members |= todo
        before = {links[pk] for pk in todo if links.get(pk)}
        after = {pk for pk, older in links.items() if older in todo}
        todo = {pk for pk in before | after if pk is not None} - members
    return members


def name_is_taken(name: str, programme: Programme) -> bool:
    """Whether another programme, not a version of this one, goes by that name; one in the bin counts too."""
    links = dict(Programme.everything.values_list("pk", "supersedes"))
    own = _linked(programme.pk, links) if programme.pk else set()
    return Programme.everything.filter(name__iexact=name.strip()).exclude(pk__in=own).exists()


def firings_on(programmes: Sequence[Programme]) -> QuerySet[Firing]:
    """The last firings on these versions."""
    return Firing.objects.for_lists().filter(programme__in=programmes)[:LAST_FIRINGS]


def kiln_figures(kiln: Kiln | None) -> KilnFigures:
    """What a forecast takes from a kiln: power, price, and what its own witness cones say of its sensor."""
    if kiln is None:
        return KilnFigures()
    offset = counted_offset([pair.numbers for pair in pairs_of(kiln.pk)])
    price, power = kiln.energy_price_per_kwh, kiln.power_kw
    return KilnFigures(
        power_kw=None if power is None else float(power),
        price_per_kwh=None if price is None else float(price),
        sensor=offset.sensor() if offset else Sensor(),
    )

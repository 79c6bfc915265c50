"""What the pages of kilns ask."""

from django.db.models import Count, Max, Q, QuerySet

from firings.models import Firing, Kiln

LAST = 8


def kilns_for_list() -> QuerySet[Kiln]:
    """Kilns with the number of their shelves and firings and the day of the last one."""
    kept = Q(firings__binned_at__isnull=True)
    return Kiln.objects.annotate(
        shelf_count=Count("shelves", distinct=True),
        firing_count=Count("firings", filter=kept, distinct=True),
        last_fired=Max("firings__started_at", filter=kept),
    ).order_by("name")


def last_firings(kiln: Kiln) -> QuerySet[Firing]:
    """The last firings of a kiln."""
    return Firing.objects.for_lists().filter(kiln=kiln)[:LAST]

"""Which firings the logbook shows."""

from typing import Any

import django_filters
from django.db.models import QuerySet

from firings.logbook.queries import years_fired
from firings.models import Firing, Kiln
from firings.vocabulary import FiringState


class FiringFilter(django_filters.FilterSet):
    """Firings by state, kiln and year."""

    state = django_filters.ChoiceFilter(choices=FiringState.choices(), empty_label="any state")
    kiln = django_filters.ModelChoiceFilter(queryset=Kiln.objects.all(), empty_label="any kiln")
    year = django_filters.ChoiceFilter(
        field_name="started_at", lookup_expr="year", label="Year", empty_label="any year", choices=()
    )

    class Meta:
        model = Firing
        fields = ("state", "kiln", "year")

    def __init__(self, data: Any, queryset: QuerySet[Firing]) -> None:
        super().__init__(data, queryset)
        self.filters["year"].extra["choices"] = [(str(year), str(year)) for year in years_fired()]

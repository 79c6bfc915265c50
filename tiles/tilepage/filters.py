"""Which tiles a list shows."""

import django_filters
from django.db.models import Q, QuerySet

from firings.forms import NamesIterator, NamesMenu
from tiles.models import ClayBody, Layer, Series, Tile
from tiles.search.filters import tile_numbers_in
from tiles.tilepage.state import TileState

MOST_WORDS = 6


class TileWords(django_filters.CharFilter):
    """Every word typed is in a tile's number, body, series, note or glazes."""

    def filter(self, qs: QuerySet[Tile], value: str) -> QuerySet[Tile]:
        for word in value.split()[:MOST_WORDS]:
            # Names are looked for among the few records that have them, not anew for each tile.
            qs = qs.filter(
                Q(number__in=tile_numbers_in(word))
                | Q(body__in=ClayBody.everything.filter(name__icontains=word).order_by())
                | Q(series__in=Series.everything.filter(name__icontains=word).order_by())
                | Q(note__icontains=word)
                | Q(pk__in=Layer.objects.filter(glaze__name__icontains=word).order_by().values("tile"))
            )
        return qs


class SeriesField(django_filters.fields.ModelChoiceField):
    """One of very many series, by its name."""

    iterator = NamesIterator
    widget = NamesMenu


class SeriesFilter(django_filters.ModelChoiceFilter):
    field_class = SeriesField


class TileFilter(django_filters.FilterSet):
    """Tiles by state, body, series and words; `queries.with_state` gives the state."""

    q = TileWords(label="Words")
    state = django_filters.ChoiceFilter(choices=TileState.choices(), empty_label="any")
    body = django_filters.ModelChoiceFilter(queryset=ClayBody.objects.by_name(), empty_label="any clay body")
    series = SeriesFilter(queryset=Series.objects.all(), empty_label="any series")

    class Meta:
        model = Tile
        fields: list[str] = []

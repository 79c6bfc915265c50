"""Which tiles a request of the glazing pages is about."""

from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404

from firings.units import read_key
from tiles import numbers
from tiles.glazing import queries
from tiles.models import Series

MOST_NUMBERS = 300


def chosen(request: HttpRequest) -> queries.Chosen:
    """The tiles the address names: of a series, by their numbers, or all that wait.

    One number that names no tile makes all of them doubtful: leaving it out would hide a tile.
    """
    if series := request.GET.get("series", ""):
        return queries.of_series(get_object_or_404(Series, pk=read_key(series)))
    if labels := request.GET.get("tiles", ""):
        read = [_number(label) for label in labels.split(",")[:MOST_NUMBERS] if label.strip()]
        found = queries.of_numbers([number for numbers_read in read for number in numbers_read])
        if not found.tiles or not all(read):
            raise Http404("No tile has these numbers.")
        return found
    return queries.of_all()


def _number(label: str) -> list[int]:
    try:
        return [numbers.read(label)]
    except ValueError:
        return []


def asked_tile(request: HttpRequest) -> int | None:
    """The number of the tile that was picked out of its turn, if one was."""
    return next(iter(_number(request.GET.get("tile", ""))), None)

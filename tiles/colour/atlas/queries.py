"""The measured colours of what a search finds, drawn."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from django.urls import reverse

from tiles import numbers
from tiles.colour.plot import Dot, Plot, Window, plot
from tiles.colour.swatch import figures_of, name_of
from tiles.colour.wording import basis_words
from tiles.columns.coded import Numbers
from tiles.columns.counted import coloured
from tiles.columns.held import Floats
from tiles.models import Outcome
from tiles.search import address
from tiles.search.address import Pairs
from tiles.search.facets import Chip, chips
from tiles.search.filters import ResultsFilter
from tiles.search.groups import GROUPS
from tiles.search.queries import names_of, search

# The table behind the drawing holds so many rows; the results page holds them all.
MOST_ROWS = 400


@dataclass(frozen=True, slots=True)
class MappedColour:
    """A result on the map."""

    pk: int
    tile: str
    zone: str
    name: str
    figures: str
    basis: str

    @property
    def address(self) -> str:
        return f"{reverse('tiles:recording:tile', args=[self.tile])}#outcome-{self.pk}"

    @property
    def words(self) -> str:
        return f"{self.tile}, {self.zone}: {self.name}, {self.figures}, {self.basis}"


@dataclass(frozen=True, slots=True)
class Mark:
    """A dot of the drawing with where it leads: to a result, or closer."""

    dot: Dot
    words: str
    address: str

    @property
    def place(self) -> str:
        return f"{self.dot.x:.1f} {self.dot.y:.1f}"


@dataclass(frozen=True, slots=True)
class ColourMap:
    """The map of a search's results. `without` have no measured colour, and so no place on it."""

    plot: Plot
    marks: list[Mark]
    rows: list[MappedColour]
    chips: list[Chip]
    query: str
    total: int
    without: int
    is_closer: bool


def map_of(pairs: Pairs, window: Window | None) -> ColourMap:
    """The colours of what these choices find, in a number of queries that does not grow."""
    searched = search(pairs)
    keys, colours, without = measured_of(searched)
    drawn = plot(colours, window)
    shown = _mapped([int(keys[dot.index]) for dot in drawn.dots if dot.index is not None])
    asked = address.without(pairs, "view", "sort")
    of_dot = [(dot, shown.get(int(keys[dot.index])) if dot.index is not None else None) for dot in drawn.dots]
    chosen = {group.name: address.values_of(pairs, group.name) for group in GROUPS}
    return ColourMap(
        plot=drawn,
        # A single result that is gone by now stands on no map.
        marks=[_mark(dot, colour, asked) for dot, colour in of_dot if colour or dot.window],
        rows=sorted((colour for _, colour in of_dot if colour), key=lambda row: row.tile)[:MOST_ROWS],
        chips=chips(pairs, names_of({**chosen, "like": address.values_of(pairs, "like")}, searched.held)),
        query=address.write(asked),
        total=len(keys),
        without=without,
        is_closer=window is not None,
    )


def measured_of(searched: ResultsFilter) -> tuple[Numbers, Floats, int]:
    """Keys and colours of what a search finds, by their keys, and how many have none.

    From the results held in memory, else by two queries.
    """
    if searched.on_columns is not None:
        return coloured(searched.on_columns)
    found = searched.found()
    read = list(found.filter(lab_l__isnull=False).order_by("pk").values_list("pk", "lab_l", "lab_a", "lab_b"))
    rows = np.array(read, np.float64).reshape(-1, 4)
    return rows[:, 0].astype(np.int64), rows[:, 1:], found.filter(lab_l__isnull=True).count()


def _mapped(keys: Sequence[int]) -> dict[int, MappedColour]:
    """Results as they stand on the map, by their keys; one query."""
    rows = Outcome.objects.filter(pk__in=keys, lab_l__isnull=False).values_list(
        "pk", "tile__number", "zone__name", "lab_basis", "lab_l", "lab_a", "lab_b"
    )
    return {
        pk: MappedColour(pk, numbers.write(number), zone, name_of(*lab), figures_of(*lab), basis_words(basis))
        for pk, number, zone, basis, *lab in rows
    }


def _mark(dot: Dot, colour: MappedColour | None, asked: Pairs) -> Mark:
    if colour is not None:
        return Mark(dot, colour.words, colour.address)
    about = f"{name_of(*dot.lab)}, {figures_of(*dot.lab)}"
    closer = address.write((*asked, ("around", around_of(dot.window)))) if dot.window else ""
    return Mark(dot, f"{dot.count} results about {about}: look closer", f"?{closer}")


def around_of(window: Window) -> str:
    """A window as the address holds it: middle a*, middle b*, span."""
    return f"{window.a:g},{window.b:g},{window.span:g}"


def read_around(text: str) -> Window | None:
    """The window an address asks for; None for the whole plane or what cannot be read."""
    try:
        a, b, span = (float(part) for part in text.split(","))
    except ValueError:
        return None
    sensible = abs(a) <= 200 and abs(b) <= 200 and 0.5 <= span <= 400
    return Window(a, b, span) if sensible else None

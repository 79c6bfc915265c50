"""The measured colours of what a search finds, drawn."""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from tiles import numbers
from tiles.colour.plot import Dot, Plot, Window, plot
from tiles.colour.swatch import figures_of, name_of
from tiles.colour.wording import basis_words
from tiles.search import address
from tiles.search.address import Pairs
from tiles.search.facets import Chip, chips
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
    found = search(pairs).found()
    measured: list[tuple[Any, ...]] = list(
        found.filter(lab_l__isnull=False)
        .order_by("pk")
        .values_list("pk", "lab_l", "lab_a", "lab_b", "lab_basis", "tile__number", "zone__name")
    )
    drawn = plot([(row[1], row[2], row[3]) for row in measured], window)
    asked = address.without(pairs, "view", "sort")
    marks = [_mark(dot, measured, asked) for dot in drawn.dots]
    chosen = {group.name: address.values_of(pairs, group.name) for group in GROUPS}
    shown = [_mapped(measured[dot.index]) for dot in drawn.dots if dot.index is not None]
    return ColourMap(
        plot=drawn,
        marks=marks,
        rows=sorted(shown, key=lambda row: row.tile)[:MOST_ROWS],
        chips=chips(pairs, names_of({**chosen, "like": address.values_of(pairs, "like")})),
        query=address.write(asked),
        total=len(measured),
        without=found.filter(lab_l__isnull=True).count(),
        is_closer=window is not None,
    )


def _mapped(row: tuple[Any, ...]) -> MappedColour:
    pk, lightness, a, b, basis, number, zone = row
    lab = (lightness, a, b)
    return MappedColour(pk, numbers.write(number), zone, name_of(*lab), figures_of(*lab), basis_words(basis))


def _mark(dot: Dot, measured: list[tuple[Any, ...]], asked: Pairs) -> Mark:
    if dot.window is None and dot.index is not None:
        colour = _mapped(measured[dot.index])
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

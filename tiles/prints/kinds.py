"""The one table of what can be printed. Whatever is in it can lie in the print tray and come out in one PDF.

To add a kind: write, in a role module of your subject (`queries.py`), a function that gives its pages and one that
names it, make a `Kind` of them, and add it to the tuple in `tiles/prints/listeners.py`.

    def _says(asked: Asked) -> str: …

    def _pages(asked: Asked) -> list[Page]:
        series = Series.objects.get(pk=asked.keys[0])
        return [laid_page(lay_out(series, asked.preferences))]       # a tiles.prints.marks.Layout as large as the paper

    RANGE_SHEET = Kind("range-sheet", "range sheet", "range sheets", "tiles.view_series", says=_says, pages=_pages)

A page that is not drawn by a Layout draws on `paper.canvas`, reportlab's, in points from the lower left corner; the
printer's calibration is in force already.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from firings.preferences import Preferences
from tiles.prints.marks import Layout, Note
from tiles.prints.paper import Page, laid_page

Options = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be printed of one kind.

    keys : what it is of, as words of an address: tile labels, a firing's number, a record's primary key
    options : how, such as the size of cards; a kind has a usual value for each that is not said
    for_paper : False while pages are only counted and looked over, so photographs need not be prepared
    person : who prints, for kinds that keep something for each person; None where nobody is known
    """

    keys: tuple[str, ...]
    options: Options
    preferences: Preferences
    for_paper: bool = True
    person: Any = None


@dataclass(frozen=True, slots=True)
class Option:
    """A choice of how a kind is printed: its name in `Asked.options`, what it is called, value and words of each."""

    name: str
    label: str
    choices: Sequence[tuple[str, str]]


def no_options(preferences: Preferences) -> Sequence[Option]:
    """Of a kind that comes in one way only."""
    return ()


def no_notes(asked: Asked) -> Sequence[Note]:
    """Of a kind in which everything fits."""
    return ()


@dataclass(frozen=True, slots=True)
class Kind:
    """One thing that can be printed.

    name : stands for it in addresses and rows, such as "range-sheet"; never changes
    one, many : what people call it
    permission : what a person must be allowed to see, such as "tiles.view_tile"
    says : a few words for a line of the tray, such as "Harbour over Flux L", asked when it is put in. Raises
        LookupError with a sentence for people where there is nothing of these keys.
    pages : the pages, quickly counted (`len`), drawn one by one when they are printed. Raises LookupError with a
        sentence for people when what it is of is gone meanwhile.
    notes : what will not fit or cannot be shown, told before printing
    options : how it may be printed; the first choice of each is usual
    joins : whether the keys of several lines with the same options are printed together, as labels fill a sheet
    """

    name: str
    one: str
    many: str
    permission: str
    says: Callable[[Asked], str]
    pages: Callable[[Asked], Sequence[Page]]
    notes: Callable[[Asked], Sequence[Note]] = no_notes
    options: Callable[[Preferences], Sequence[Option]] = no_options
    joins: bool = False

    def counted(self, count: int) -> str:
        """3 tile cards; one firing report."""
        return f"{count} {self.many}" if count != 1 else f"1 {self.one}"


def sheet_kind(
    name: str,
    one: str,
    many: str,
    permission: str,
    *,
    says: Callable[[Asked], str],
    layouts: Callable[[Asked], Sequence[Layout]],
    options: Callable[[Preferences], Sequence[Option]] = no_options,
) -> Kind:
    """A kind whose pages are layouts as large as the paper; what is amiss on them is what they noted."""

    def pages(asked: Asked) -> list[Page]:
        return [laid_page(layout) for layout in layouts(asked)]

    def notes(asked: Asked) -> list[Note]:
        return [note for layout in layouts(asked) for note in layout.notes]

    return Kind(name, one, many, permission, says=says, pages=pages, notes=notes, options=options)


KINDS: dict[str, Kind] = {}


def register(kind: Kind) -> Kind:
    """Put a kind in the table.

    Raises ValueError where another has its name.
    """
    if KINDS.setdefault(kind.name, kind) is not kind:
        raise ValueError(f"there are two kinds of print named {kind.name}")
    return kind


def kind_named(name: str) -> Kind:
    """The kind. Raises LookupError with a sentence for people where there is none of that name."""
    if name not in KINDS:
        raise LookupError(f"“{name}” is nothing that can be printed here.")
    return KINDS[name]

"""A person's print tray: its lines, what they come to, and how they lie together on paper."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from firings.models import User
from firings.preferences import Preferences
from tiles.models import PrintItem
from tiles.prints.kinds import KINDS, Asked, Kind, Option
from tiles.prints.marks import Note
from tiles.prints.paper import Page


@dataclass(frozen=True, slots=True)
class Choice:
    """An option of a line with what is chosen."""

    option: Option
    chosen: str


@dataclass(slots=True)
class Line:
    """One line of the tray as a page shows it."""

    item: PrintItem
    kind: Kind | None
    choices: list[Choice] = field(default_factory=list)

    @property
    def words(self) -> str:
        """12 tile cards."""
        if self.kind is None:
            return self.item.kind
        return self.kind.counted(len(self.item.keys) if self.kind.joins else 1)


@dataclass(slots=True)
class Part:
    """Lines that are printed together, and their pages; `trouble` says why there are none."""

    kind: Kind
    asked: Asked
    pages: Sequence[Page] = ()
    trouble: str = ""
    notes: Sequence[Note] = ()


@dataclass(slots=True)
class Tray:
    """What a person collected, in order, and what it comes to."""

    lines: list[Line]
    parts: list[Part]

    @property
    def pages(self) -> list[Page]:
        """All pages, in order."""
        return [page for part in self.parts for page in part.pages]

    @property
    def sheets(self) -> list[tuple[str, int]]:
        """How many sheets of which paper, in the order they are first needed."""
        counts: dict[str, int] = {}
        for page in self.pages:
            counts[page.paper] = counts.get(page.paper, 0) + 1
        return list(counts.items())

    @property
    def has_labels(self) -> bool:
        """Whether something is printed on label stock."""
        return any(page.stock for page in self.pages)

    @property
    def notes(self) -> list[Note]:
        return [note for part in self.parts for note in part.notes]

    @property
    def troubles(self) -> list[str]:
        return [part.trouble for part in self.parts if part.trouble]


def in_tray(person: User) -> list[PrintItem]:
    """The person's lines, in order."""
    return list(PrintItem.objects.filter(person=person, taken_out_at=None))


def tray_of(person: User, preferences: Preferences, *, notes: bool = True) -> Tray:
    """The tray. What people may no longer see is left out with a sentence."""
    items = in_tray(person)
    options = {
        name: _options(kind, preferences)
        for name, kind in KINDS.items()
        if any(i.kind == name for i in items)
    }
    lines = [_line(item, options.get(item.kind, ())) for item in items]
    return Tray(lines, parts_of(_asked(items, preferences, person), person, notes=notes))


def _options(kind: Kind, preferences: Preferences) -> Sequence[Option]:
    return kind.options(preferences)


def _line(item: PrintItem, options: Sequence[Option]) -> Line:
    choices = [Choice(option, _chosen(option, item.options)) for option in options]
    return Line(item, KINDS.get(item.kind), choices)


def _chosen(option: Option, said: Mapping[str, str]) -> str:
    usual = option.choices[0][0] if option.choices else ""
    return next((value for value, _ in option.choices if value == said.get(option.name)), usual)


def asked_of(person: User, preferences: Preferences) -> list[tuple[str, Asked]]:
    """What the tray asks for: kinds' names and what of them, fit for counting."""
    return _asked(in_tray(person), preferences, person)


def for_paper(asked: Asked) -> Asked:
    """The same, fit for printing."""
    return replace(asked, for_paper=True)


def _asked(items: Iterable[PrintItem], preferences: Preferences, person: User) -> list[tuple[str, Asked]]:
    """What is printed together: lines of one kind and options, where the first of them stands."""
    asked: dict[tuple[str, object], list[PrintItem]] = {}
    for item in items:
        kind = KINDS.get(item.kind)
        joined = tuple(sorted(item.options.items())) if kind and kind.joins else item.pk
        asked.setdefault((item.kind, joined), []).append(item)
    return [
        (name, Asked(_keys(together), together[0].options, preferences, False, person))
        for (name, _), together in asked.items()
    ]


def _keys(items: Sequence[PrintItem]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for item in items for key in item.keys))


def parts_of(asked: Iterable[tuple[str, Asked]], person: User, *, notes: bool = True) -> list[Part]:
    """The pages of what is asked for."""
    return [_part(KINDS[name], one, person, notes) for name, one in asked if name in KINDS]


def _part(kind: Kind, asked: Asked, person: User, with_notes: bool) -> Part:
    if not person.has_perm(kind.permission):
        return Part(kind, asked, trouble=f"You may not see what the {kind.one} shows.")
    try:
        return Part(kind, asked, kind.pages(asked), notes=kind.notes(asked) if with_notes else ())
    except LookupError as trouble:
        return Part(kind, asked, trouble=f"{kind.one}: {trouble.args[0]}")


def pages_on(parts: Iterable[Part], paper: str = "") -> list[Page]:
    """The pages of the parts, in order; with a paper named only those on it."""
    return [page for part in parts for page in part.pages if not paper or page.paper == paper]

"""Names in a file, and the studio's records they mean: the same name, one much like it, or a new record."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Self

from rapidfuzz import fuzz, process

from studio.importing.cells import nearest
from studio.importing.fields import BODIES, GLAZES
from studio.importing.told import MAKE_NEW

BODY, FORM, GLAZE, KILN = "body", "form", "glaze", "kiln"
WORDS = {BODY: "clay bodies", FORM: "tile forms", GLAZE: "glazes", KILN: "kilns"}
# What the rows of a list name.
KIND_OF_LIST = {GLAZES: GLAZE, BODIES: BODY}
ONE = {BODY: "clay body", FORM: "tile form", GLAZE: "glaze", KILN: "kiln"}
# How alike two names must be to be pointed out, from 0 to 100; so many new ones are compared, and so many pairs named.
SLIP = 85
COMPARED, PAIRS_NAMED = 1_000, 8
LONGEST = {BODY: 60, FORM: 60, GLAZE: 80, KILN: 60}


def folded(name: str) -> str:
    """A name without regard to case and blanks.

    >>> folded(" Dune  SPECKLED")
    'dune speckled'
    """
    return " ".join(name.casefold().split())


def slips(new: Sequence[str], known: Sequence[str] = ()) -> Iterator[tuple[str, str]]:
    """Pairs of names that differ by no more than a slip of the pen, the first of each pair new.

    Names that differ in a number or a single letter are told apart on purpose.

    >>> list(slips(["Harbour Blue", "Dune 1", "Dune 2", "Harbor Blue"], ["Tenmoku"]))
    [('Harbor Blue', 'Harbour Blue')]
    """
    met = [*known, *new[:COMPARED]]
    keys = [folded(name) for name in met]
    for at in range(len(known), len(met)):
        found = process.extract(keys[at], keys[:at], scorer=fuzz.ratio, score_cutoff=SLIP, limit=3)
        yield from ((met[at], met[other]) for _, _, other in found if _marks(keys[at]) == _marks(keys[other]))


def is_slip(name: str, other: str) -> bool:
    """Whether one name is most likely the other, written with a slip of the pen.

    >>> is_slip("Harbur", "Harbour"), is_slip("Harbour Blue", "Harbour"), is_slip("Celadon 12", "Celadon 13")
    (True, False, False)
    """
    return bool(other) and any(slips([name], [other]))


def may_be(name: str, other: str) -> bool:
    """Whether a name could be the other at all: what sets names of one family apart is the same in both.

    >>> may_be("Nite Iron", "Night Iron"), may_be("Celadon 12", "Celadon 13")
    (True, False)
    """
    return bool(other) and _marks(folded(name)) == _marks(folded(other))


def short_for(name: str, names: Collection[str]) -> str:
    """The one name that begins with all words of a shorter one, "" where none does, or more than one.

    >>> short_for("Dune", ["Dune stoneware", "Slate"]), short_for("Dune", ["Dune stoneware", "Dune buff"])
    ('Dune stoneware', '')
    """
    longer = [other for other in names if folded(other).startswith(f"{folded(name)} ")]
    return longer[0] if len(longer) == 1 else ""


def _marks(key: str) -> list[str]:
    """What sets names of one family apart: numbers and single letters."""
    return sorted(word for word in key.split() if len(word) == 1 or any(map(str.isdigit, word)))


def joined_to(key: str, joined: Mapping[str, str]) -> str:
    """The name that a folded one was said to mean, at the end of all that was said; "" for none, or for a circle.

    >>> joined_to("harbor", {"harbor": "Harbur", "harbur": "Harbour"}), joined_to("a", {"a": "B", "b": "A"})
    ('Harbour', '')
    """
    met, name = {key}, ""
    while other := joined.get(key):
        key, name = folded(other), other
        if key in met:
            return ""
        met.add(key)
    return name


def taken_said(kind: str, taken: Sequence[tuple[str, str]]) -> list[str]:
    """Names of a file that are taken for records there are, in words."""
    said = [f"“{name}” is taken for the {kind} “{record}”." for name, record in taken[:PAIRS_NAMED]]
    if len(taken) > PAIRS_NAMED:
        said.append(f"{len(taken) - PAIRS_NAMED:,} more names are taken for a {kind} there is.")
    return said


def beside_said(kind: str, pairs: Sequence[tuple[str, str, bool]]) -> list[str]:
    """In words: new names, each with another it is much like, and whether that is a record's."""
    said = [
        f"“{name}” would be a new {kind} beside “{other}”, which is {'here' if is_here else 'new too'}. "
        "If they are one, say so under the new names on its page, or write them alike in the file."
        for name, other, is_here in pairs[:PAIRS_NAMED]
    ]
    if len(pairs) > PAIRS_NAMED:
        said.append(f"{len(pairs) - PAIRS_NAMED:,} more new names of this kind are much like another.")
    return said


@dataclass(frozen=True, slots=True)
class Unknown:
    """A name that no record has: how many rows have it, what it is much like, and what it is taken for.

    alike : other new names that differ by no more than a slip of the pen, met before; `same_as` the one it means
    """

    kind: str
    name: str
    rows: int
    near: str
    taken_for: int
    same_as: str = ""
    alike: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Likeness:
    """What new names of one kind are much like, compared once for all that is said of it.

    new : the names as they were met; only the first COMPARED of them are compared
    known : names of records
    others : of those that are much like another these others, the likest first
    """

    new: Sequence[str]
    known: frozenset[str]
    others: Mapping[str, tuple[str, ...]]

    @classmethod
    def among(cls, new: Sequence[str], known: Sequence[str] = ()) -> Self:
        """Compare new names with one another and with those of records.

        >>> found = Likeness.among(["Harbour Blue", "Harbor Blue", "Tenmuku"], ["Tenmoku"])
        >>> found.record_near("Tenmuku"), found.new_near("Harbor Blue")
        ('Tenmoku', ('Harbour Blue',))
        """
        others: dict[str, tuple[str, ...]] = {}
        for name, other in slips(new, known):
            others[name] = (*others.get(name, ()), other)
        return cls(new, frozenset(known), others)

    def record_near(self, name: str) -> str:
        """The record's name that one is likest to, "" for none."""
        return next((other for other in self.others.get(name, ()) if other in self.known), "")

    def new_near(self, name: str) -> tuple[str, ...]:
        """The new names, met before it, that one is much like."""
        return tuple(other for other in self.others.get(name, ()) if other not in self.known)

    def said(self, kind: str, made: Collection[str]) -> list[str]:
        """In words, for who is about to keep the file: which names that are `made` records of are like another."""
        known, standing = self.known, {*self.known, *made}
        pairs = [
            (name, other, other in known)
            for name, others in self.others.items()
            for other in others
            if name in standing and other in standing
        ]
        said = beside_said(kind, pairs)
        if len(self.new) > COMPARED:
            first = f"{COMPARED:,} of {len(self.new):,}"
            said.append(f"Only the first {first} new names were compared with others.")
        return said


@dataclass(slots=True)
class Names:
    """The records of one kind, and what names of a file come to.

    known : keys by folded name; `words` the names as the records have them
    told : what a person chose for a name that is not known
    joined : which other new name a new one means, by what a person said
    new : names of records to make, in the order they were met; a reference to the n-th is -n - 1
    """

    kind: str
    known: Mapping[str, int]
    words: Mapping[int, str]
    told: Mapping[str, int]
    joined: Mapping[str, str] = field(default_factory=dict)
    new: list[str] = field(default_factory=list)
    _found: dict[str, int] = field(default_factory=dict)
    _count: dict[str, int] = field(default_factory=dict)
    _unknown: dict[str, tuple[str, str]] = field(default_factory=dict)

    def reference(self, name: str, rows: int = 1) -> int:
        """The key of the record a name means, or a negative reference to one to be made."""
        key = folded(name)
        self._count[key] = self._count.get(key, 0) + rows
        if (found := self._found.get(key)) is not None:
            return found
        found = self._found[key] = self._resolved(key, name)
        return found

    def _resolved(self, key: str, name: str) -> int:
        if (exact := self.known.get(key)) is not None:
            return exact
        if other := joined_to(key, self.joined):
            self._unknown[key] = (" ".join(name.split()), other)
            return self.reference(other, rows=0)
        chosen = self.told.get(key)
        words = list(self.words.values())
        near = nearest(name, words) or short_for(name, words)
        self._unknown[key] = (" ".join(name.split()), near)
        if chosen is None:
            chosen = self.known.get(folded(near), MAKE_NEW) if is_slip(name, near) else MAKE_NEW
        if chosen in self.words:
            return chosen
        self.new.append(" ".join(name.split()))
        return -len(self.new)

    def name_of(self, reference: int) -> str:
        """The name of what a reference means."""
        return self.words[reference] if reference > 0 else self.new[-reference - 1]

    @property
    def taken(self) -> list[tuple[str, str]]:
        """Names no record has, with the record each is taken for."""
        return [
            (one.name, self.words[one.taken_for])
            for one in self.unknown
            if one.taken_for in self.words and not one.same_as
        ]

    @property
    def beside(self) -> list[tuple[str, str, bool]]:
        """New names of which nothing was said, each with the record's name it is much like."""
        return [
            (one.name, one.near, True)
            for one in self.unknown
            if one.taken_for == MAKE_NEW
            and not one.same_as
            and folded(one.name) not in self.told
            and may_be(one.name, one.near)
        ]

    @property
    def unknown(self) -> list[Unknown]:
        """Names no record has, in the order they were met."""
        return [
            Unknown(
                self.kind,
                name,
                self._count[key],
                near,
                max(self._found[key], MAKE_NEW),
                joined_to(key, self.joined),
            )
            for key, (name, near) in self._unknown.items()
        ]

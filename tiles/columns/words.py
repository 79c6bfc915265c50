"""Words that are searched: where they begin in what people wrote, and names that a slip of the pen nearly meant."""

import re
from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from rapidfuzz.distance import OSA

from tiles.columns.values import Lookups, Said

# From so many letters on a name may be off by one slip, by two.
ONE_SLIP, TWO_SLIPS = 4, 8
_WORD = re.compile(r"\w+")
_HIGHEST = "\U0010ffff"


def words_in(text: str) -> list[str]:
    """The words of a text, in small letters.

    >>> words_in("Flux L, lot 24-118")
    ['flux', 'l', 'lot', '24', '118']
    """
    return _WORD.findall(text.lower())


def begins_a_word(typed: str) -> re.Pattern[str]:
    """What stands in a text, in small letters, where a typed piece begins a word of it.

    >>> bool(begins_a_word("24-1").search("lot 24-118")), bool(begins_a_word("bour").search("harbour"))
    (True, False)
    """
    return re.compile(rf"(?<!\w){re.escape(typed.lower())}")


def slips_allowed(word: str) -> int:
    """How many letters of a word may be wrong, missing, too many or swapped; none in figures and short words."""
    if any(letter.isdigit() for letter in word):
        return 0
    return (len(word) >= ONE_SLIP) + (len(word) >= TWO_SLIPS)


def named_like(typed: str, names: Mapping[int, str]) -> set[int]:
    """The keys of names in which a typed piece begins a word."""
    begins = begins_a_word(typed).search
    return {key for key, name in names.items() if begins(name.lower())}


# Names stay while searches come and go: about 5 MB a process where there are so many.
@lru_cache(maxsize=20_000)
def _words_of_name(name: str) -> tuple[str, ...]:
    return tuple(words_in(name))


def nearly_named(typed: str, names: Mapping[int, str]) -> set[int]:
    """The keys of names with a word that a typed one nearly is, by the optimal string alignment distance.

    >>> nearly_named("harbuor", {1: "Harbour blue", 2: "Dune"})
    {1}
    """
    word = typed.lower()
    most = slips_allowed(word)
    if not most:
        return set()
    return {
        key
        for key, name in names.items()
        if any(OSA.distance(word, one, score_cutoff=most) <= most for one in _words_of_name(name))
    }


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one typed piece may mean: records by their keys, tile numbers, and the beginning of a word in a text."""

    typed: str
    glazes: frozenset[int] = frozenset()
    bodies: frozenset[int] = frozenset()
    kilns: frozenset[int] = frozenset()
    series: frozenset[int] = frozenset()
    lots: frozenset[int] = frozenset()
    numbers: frozenset[int] = frozenset()

    @property
    def names_something(self) -> bool:
        return bool(self.glazes or self.bodies or self.kilns or self.series or self.lots or self.numbers)

    @property
    def may_be_a_slip(self) -> bool:
        """Whether, should no text have it either, the names that it nearly is are worth a look."""
        return not self.names_something and slips_allowed(self.typed) > 0


NAMED = ("glazes", "bodies", "kilns", "series", "lots")


def meant_by(typed: str, names: Lookups, numbers: Iterable[int] = ()) -> Meaning:
    """What a typed piece means when it is written rightly."""
    named = {kind: frozenset(named_like(typed, getattr(names, kind))) for kind in NAMED}
    return Meaning(typed, **named, numbers=frozenset(numbers))


def nearly_meant_by(typed: str, names: Lookups) -> Meaning:
    """What a typed piece means when it holds a slip of the pen."""
    return Meaning(typed, **{kind: frozenset(nearly_named(typed, getattr(names, kind))) for kind in NAMED})


def pieces_of(text: str, most: int) -> list[str]:
    """What was typed, piece by piece, leaving out pieces without a letter or figure.

    >>> pieces_of("Harbour  + 24-118", 8)
    ['Harbour', '24-118']
    """
    return [piece for piece in text.split() if words_in(piece)][:most]


@dataclass(slots=True)
class Postings:
    """For each word, in which of the texts people wrote it stands, by the texts' codes. It only ever grows."""

    codes: dict[str, list[int]] = field(default_factory=dict)
    in_order: list[str] = field(default_factory=list)
    upto: int = 0
    texts: Sequence[Said] = ()

    def take_in(self, texts: Sequence[Said]) -> None:
        """Take in the texts that are new since the last time."""
        if self.upto == len(texts):
            return
        known = len(self.codes)
        for code in range(self.upto, len(texts)):
            said = texts[code]
            for word in {*words_in(said.remark), *words_in(said.note)}:
                self.codes.setdefault(word, []).append(code)
        self.texts, self.upto = texts, len(texts)
        if len(self.codes) > known:
            # A new list: whoever is looking through the old one goes on with it.
            self.in_order = sorted(self.codes)

    def beginning(self, typed: str) -> Iterable[int]:
        """The codes of texts in which a typed piece begins a word."""
        words = words_in(typed)
        if not words:
            return ()
        if words == [typed.lower()]:
            return self._with_word_beginning(words[0])
        begins = begins_a_word(typed).search
        found = self._with_word_beginning(words[-1])
        return [
            code
            for code in found
            if begins(self.texts[code].remark.lower()) or begins(self.texts[code].note.lower())
        ]

    def _with_word_beginning(self, word: str) -> list[int]:
        order = self.in_order
        first, last = bisect_left(order, word), bisect_left(order, word + _HIGHEST)
        return [code for one in order[first:last] for code in self.codes[one]]

"""Tile numbers typed, pasted or scanned, many at once."""

import re
from dataclasses import dataclass

from tiles import numbers


@dataclass(frozen=True, slots=True)
class TypedNumbers:
    """Tile numbers without check digits, each once and in order, and what was wrong with the rest."""

    numbers: tuple[int, ...]
    troubles: tuple[str, ...]


def read_numbers(text: str) -> TypedNumbers:
    """Read a list of tile numbers, one a line or with commas between; a scanned code's whole address will do.

    >>> read_numbers("1042-9, 1043 2\\nhttp://studio.example/T/1042-9")
    TypedNumbers(numbers=(1042, 1043), troubles=())
    >>> read_numbers("1042-8").troubles
    ('1042-8 is no tile number: one digit is wrong or two are swapped. Compare it with the clay.',)
    """
    found: dict[int, None] = {}
    troubles: list[str] = []
    for piece in re.split(r"[\n\r\t,;]+", text):
        for word in _words(piece):
            try:
                found[numbers.read(word)] = None
            except ValueError as trouble:
                troubles.append(_named(word, str(trouble)))
    return TypedNumbers(tuple(found), tuple(troubles))


def _words(piece: str) -> list[str]:
    """A piece as it is where it reads as one number ("1042 9"), else its words."""
    whole = piece.strip().rsplit("/", 1)[-1]
    if re.fullmatch(r"#?\d+([\s‐‑–—-]+\d)?", whole):
        return [whole]
    return [word.rsplit("/", 1)[-1] for word in piece.split()]


def _named(word: str, trouble: str) -> str:
    return trouble if trouble.startswith(word) else f"“{word[:20]}”: {trouble}"

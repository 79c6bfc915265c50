"""The query string of a search: the address is the search, so this is where it is read and written."""

from collections.abc import Iterable
from urllib.parse import parse_qsl, urlencode

Pairs = tuple[tuple[str, str], ...]


def read(query: str, names: Iterable[str]) -> Pairs:
    """The choices in a query string, each once and in order, leaving out empty ones and names we don't know.

    >>> read("?body=3&q=&body=3&utm=x&cone=6", ("body", "cone", "q"))
    (('body', '3'), ('cone', '6'))
    """
    known = frozenset(names)
    pairs = parse_qsl(query.removeprefix("?"))
    kept = ((name, value.strip()) for name, value in pairs if name in known)
    return tuple(dict.fromkeys((name, value) for name, value in kept if value))


def has_empty(query: str) -> bool:
    """Whether a form sent fields that say nothing.

    >>> has_empty("q=&cone=6"), has_empty("cone=6")
    (True, False)
    """
    return any(not value.strip() for _, value in parse_qsl(query, keep_blank_values=True))


def write(pairs: Iterable[tuple[str, str]]) -> str:
    """The query string of these choices, without a question mark.

    >>> write((("cone", "5–6"), ("q", "honey brown")))
    'cone=5%E2%80%936&q=honey+brown'
    """
    return urlencode(list(pairs))


def without(pairs: Pairs, *names: str) -> Pairs:
    """The choices of all other names."""
    return tuple(pair for pair in pairs if pair[0] not in names)


def without_choice(pairs: Pairs, name: str, value: str) -> Pairs:
    """All but one choice."""
    return tuple(pair for pair in pairs if pair != (name, value))


def values_of(pairs: Pairs, name: str) -> tuple[str, ...]:
    """What was chosen under a name."""
    return tuple(value for key, value in pairs if key == name)

"""Spans of a scale as people write them: 6, 5–6, 5 to 6, 3– for three and more, –2 for up to two."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Generic, TypeVar

Figure = TypeVar("Figure", int, Decimal)

_BETWEEN = re.compile(r"\s*(?:–|—|-|…|\.\.|\bto\b)\s*")
# Longer figures than these are a slip of the pen, and a database has no room for them.
_WHOLE = re.compile(r"[0-9]{1,7}")
_DECIMAL = re.compile(r"[0-9]{1,6}([.,][0-9]{1,3})?")


@dataclass(frozen=True, slots=True)
class Span(Generic[Figure]):
    """From `low` to `high`, both ends within; an end of None is open."""

    low: Figure | None
    high: Figure | None

    def holds(self, figure: Figure) -> bool:
        """Whether a figure lies in the span.

        >>> Span(5, None).holds(9), Span(None, 4).holds(5)
        (True, False)
        """
        return (self.low is None or self.low <= figure) and (self.high is None or figure <= self.high)

    @property
    def is_single(self) -> bool:
        return self.low is not None and self.low == self.high


def read_whole(text: str) -> int:
    """A whole number of at most seven digits; raises ValueError in words fit for a form."""
    if not _WHOLE.fullmatch(text.strip()):
        raise ValueError(f"{text.strip()!r} is not a whole number")
    return int(text)


def read_decimal(text: str) -> Decimal:
    """A figure with a decimal comma or point; raises ValueError in words fit for a form.

    >>> read_decimal("2,5")
    Decimal('2.5')
    """
    if not _DECIMAL.fullmatch(text.strip()):
        raise ValueError(f"{text.strip()!r} is not a number")
    return Decimal(text.strip().replace(",", "."))


def read_span(text: str, read: Callable[[str], Figure]) -> Span[Figure]:
    """One figure or a span of two, in either order; `read` reads an end and raises ValueError in a form's words.

    >>> read_span("5–6", read_whole), read_span("3 to", read_whole), read_span("4", read_whole)
    (Span(low=5, high=6), Span(low=3, high=None), Span(low=4, high=4))
    """
    ends = _BETWEEN.split(text.strip())
    if len(ends) == 1:
        return Span(read(ends[0]), read(ends[0]))
    if len(ends) != 2 or not any(ends):
        raise ValueError(f"{text.strip()!r} is no range; write it from low to high, such as 5–6")
    low, high = (read(end) if end else None for end in ends)
    if low is not None and high is not None and low > high:
        low, high = high, low
    return Span(low, high)


def write_span(span: Span[Figure], write: Callable[[Figure], str] = str) -> str:
    """A span as people read it, such as 5–6, 3 or more, up to 2.

    >>> write_span(Span(5, 6)), write_span(Span(3, None)), write_span(Span(None, 2)), write_span(Span(4, 4))
    ('5–6', '3 or more', 'up to 2', '4')
    """
    if span.low is None or span.high is None:
        return f"{write(span.low)} or more" if span.low is not None else f"up to {write(span.high)}"  # type: ignore[arg-type]
    return write(span.low) if span.is_single else f"{write(span.low)}–{write(span.high)}"

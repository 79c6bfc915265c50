"""A sentence that carries its degrees as numbers, so that it can be said in °C or °F and kept in between."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Self

from firings.programmes.segments import Unit, fahrenheit


@dataclass(frozen=True, slots=True)
class Degrees:
    """A temperature [°C], a difference of two [°C] or a rate [°C/h]; `kind` is "at", "apart" or "rate"."""

    kind: str
    value: float
    digits: int = 0
    signed: bool = False

    def words(self, unit: Unit) -> str:
        """
        >>> Degrees("at", 1222.0).words(Unit.FAHRENHEIT), Degrees("rate", 60.0).words(Unit.FAHRENHEIT)
        ('2232 °F', '108 °F/h')
        """
        value = self.value
        if unit is Unit.FAHRENHEIT:
            value = fahrenheit(value) if self.kind == "at" else value * 1.8
        figure = f"{value:{'+' if self.signed else ''}.{self.digits}f}".replace("-", "−")
        return f"{figure} °{unit}{'/h' if self.kind == 'rate' else ''}"

    def plain(self) -> list[Any]:
        return [self.kind, self.value, self.digits, self.signed]


def temp(temp_c: float) -> Degrees:
    """A temperature [°C]."""
    return Degrees("at", round(float(temp_c), 2))


def apart(degrees_c: float, digits: int = 0, *, signed: bool = False) -> Degrees:
    """A difference of temperatures [°C]."""
    return Degrees("apart", round(float(degrees_c), 2), digits, signed)


def rate(rate_c_per_h: float) -> Degrees:
    """A rate [°C/h]; a slow one with a tenth."""
    return Degrees("rate", round(float(rate_c_per_h), 2), 0 if abs(rate_c_per_h) >= 9.95 else 1)


class Notice(str):
    """Words and degrees in a row; as a string it speaks °C.

    >>> said = Notice("The log ends at ", temp(1222.0), ".")
    >>> str(said), said.words(Unit.FAHRENHEIT)
    ('The log ends at 1222 °C.', 'The log ends at 2232 °F.')
    >>> notice_from(said.plain()) == said
    True
    """

    parts: tuple[str | Degrees, ...]

    def __new__(cls, *parts: str | Degrees) -> Self:
        flat = [inner for part in parts for inner in (part.parts if isinstance(part, Notice) else (part,))]
        notice = str.__new__(cls, _joined(flat, Unit.CELSIUS))
        notice.parts = tuple(flat)
        return notice

    def words(self, unit: Unit) -> str:
        """The sentence in a unit."""
        return _joined(self.parts, unit)

    def plain(self) -> list[Any]:
        """For JSON."""
        return [part.plain() if isinstance(part, Degrees) else str(part) for part in self.parts]


def _joined(parts: Sequence[str | Degrees], unit: Unit) -> str:
    return "".join(part.words(unit) if isinstance(part, Degrees) else part for part in parts)


def notice_from(plain: str | Sequence[Any]) -> Notice:
    """A notice from what `plain` made of it; a mere string was kept before notices carried their degrees."""
    if isinstance(plain, str):
        return Notice(plain)
    return Notice(*(part if isinstance(part, str) else Degrees(*part) for part in plain))


def plain_of(words: str) -> str | list[Any]:
    """For JSON: a notice with its degrees, a mere string as it is."""
    return words.plain() if isinstance(words, Notice) else words


def said_in(words: str, unit: Unit) -> str:
    """A notice in a unit; a mere string as it is."""
    return words.words(unit) if isinstance(words, Notice) else words

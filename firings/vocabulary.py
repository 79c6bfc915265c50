"""Closed lists of firing: what is stored, and the words on screen."""

from enum import StrEnum
from functools import cache
from typing import Self


class Term(StrEnum):
    """A closed list of the trade: what is stored, and the words on screen."""

    label: str

    def __new__(cls, value: str, label: str = "") -> Self:
        term = str.__new__(cls, value)
        term._value_, term.label = value, label
        return term

    @classmethod
    def choices(cls) -> list[tuple[str, str]]:
        """Pairs for a form or a model field, in the trade's order."""
        return [(term.value, term.label) for term in cls]

    @classmethod
    def values(cls) -> list[str]:
        """What may be stored, for a constraint."""
        return [term.value for term in cls]

    @classmethod
    def label_of(cls, value: str) -> str:
        """The words for a stored value; an unknown or empty value reads as itself.

        >>> Atmosphere.label_of("oxidation")
        'oxidation'
        """
        return _labels(cls).get(value, value)


@cache
def _labels(terms: type[Term]) -> dict[str, str]:
    return {term.value: term.label for term in terms}


class KilnKind(Term):
    ELECTRIC = "electric", "electric"
    GAS = "gas", "gas"
    WOOD = "wood", "wood"
    RAKU = "raku", "raku"
    OTHER = "other", "other"


class ShelfShape(Term):
    RECTANGLE = "rectangle", "rectangular"
    ROUND = "round", "round"


class Atmosphere(Term):
    OXIDATION = "oxidation", "oxidation"
    NEUTRAL = "neutral", "neutral"
    REDUCTION = "reduction", "reduction"


class Purpose(Term):
    BISQUE = "bisque", "bisque"
    GLAZE = "glaze", "glaze"
    OTHER = "other", "other"


class FiringState(Term):
    PLANNED = "planned", "planned"
    LOADED = "loaded", "loaded"
    FIRED = "fired", "fired"
    UNLOADED = "unloaded", "unloaded"


# A firing in one of these states has been through the fire.
FIRED = (FiringState.FIRED.value, FiringState.UNLOADED.value)


class ReachedSource(Term):
    """Where the reached cone comes from, best evidence first."""

    WITNESS = "witness", "witness cones"
    CURVE = "curve", "logged curve"
    CONTROLLER = "controller", "controller"
    TARGET = "target", "target"


class ConeShape(Term):
    SELF_SUPPORTING = "self_supporting", "self-supporting"
    LARGE = "large", "large"
    SMALL = "small", "small"
    BAR = "bar", "bar"

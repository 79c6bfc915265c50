"""A question in words as its page answers it: where it leads, what it was taken for, and what is still open."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from tiles.answers.typed import Understood

# What stands in an address beside the conditions: words just typed, and words that led there and need a remark.
TYPED, SAID = "q", "said"
FIRED = frozenset({"body", "cone", "coats", "over", "under", "atmosphere", "hold"})


@dataclass(frozen=True, slots=True)
class OpenWords:
    """Words that were not understood, why, and what they may mean, each with the query that asks it so."""

    typed: str
    why: str
    ways: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Heard:
    """What is said beside an answer about the words that asked for it.

    told : words that are no conditions, with what is to be said of them
    """

    read_as: tuple[tuple[str, str], ...]
    told: tuple[tuple[str, str], ...]
    open: tuple[OpenWords, ...]


def query_of(understood: Understood, typed: str, beside: Mapping[str, str]) -> str:
    """The question as a query of conditions; with the words themselves where something must be said of them.

    beside : conditions that stand in the address already, of which words say another
    """
    asked = {**beside, **understood.asked}
    needs_a_remark = understood.read_as or understood.told or understood.open
    return urlencode({**asked, SAID: typed} if needs_a_remark else asked)


def heard(understood: Understood, typed: str, asked: Mapping[str, str]) -> Heard:
    """What was taken for something, and what is open and was not chosen since.

    asked : the conditions in force
    """
    still_open = [
        one for one in understood.open if not any(asked.get(way.name) == way.value for way in one.offers)
    ]
    return Heard(
        tuple(understood.read_as),
        tuple((" ".join(words), said) for said, words in understood.told.items()),
        tuple(
            OpenWords(
                one.typed,
                one.why,
                tuple(
                    (way.words, urlencode({**asked, way.name: way.value, SAID: typed})) for way in one.offers
                ),
            )
            for one in still_open
        ),
    )


def is_a_question(understood: Understood) -> bool:
    """Whether words that were searched for ask what one glaze does under some condition."""
    return "glaze" in understood.asked and bool(FIRED & understood.asked.keys())

"""Published limits of what acid may draw out of ceramic ware, and a laboratory's figure set beside them.

A note of where a figure lies, nothing more: limits count lead and cadmium, differ from place to place, ask for a
number of articles, and change. Whether ware may be used with food is decided by an accredited laboratory and the rules
in force where it is sold. Limits known only from memory are not here: where a report names others, they are typed
from it.
"""

from dataclasses import dataclass
from enum import Enum

from tiles.vocabulary import Element, LeachRule, LeachUnit

EU_SOURCE = "Directive 84/500/EEC, article 2(4)"
EU_DATE = "of 1984, as amended by 2005/31/EC"
US_LEAD_SOURCE = "FDA Food Code 4-101.13, as in Washington Administrative Code 246-215-04110"
US_CADMIUM_SOURCE = "FDA Compliance Policy Guide 545.400"
CA_SOURCE = "California consent agreement under Proposition 65, as told on two question pages"
UNDATED = "the copy read bore no date"


@dataclass(frozen=True, slots=True)
class Limit:
    """How much of an element a rule names, and where that is printed."""

    element: str
    amount: float
    unit: str
    source: str
    dated: str

    @property
    def words(self) -> str:
        """The limit as a person reads it.

        >>> limit_of(LeachRule.EU_FLAT, Element.LEAD).words
        '0.8 mg/dm²'
        """
        return amount_words(self.amount, self.unit)


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule for one kind of ware."""

    jurisdiction: str
    ware: str
    limits: tuple[Limit, ...]
    asks: str


def _eu(lead: float, cadmium: float, unit: LeachUnit) -> tuple[Limit, ...]:
    return (
        Limit(Element.LEAD, lead, unit, EU_SOURCE, EU_DATE),
        Limit(Element.CADMIUM, cadmium, unit, EU_SOURCE, EU_DATE),
    )


def _us(lead: float, cadmium: float | None) -> tuple[Limit, ...]:
    per_l = LeachUnit.MG_PER_L
    found = [Limit(Element.LEAD, lead, per_l, US_LEAD_SOURCE, UNDATED)]
    if cadmium is not None:
        found.append(Limit(Element.CADMIUM, cadmium, per_l, US_CADMIUM_SOURCE, UNDATED))
    return tuple(found)


EU_ASKS = (
    "4 % acetic acid by volume, 22 ± 2 °C, 24 ± 0.5 h, in the dark for cadmium (annex I). Where one article is over by "
    "no more than half, at least three others alike are tested: their mean must be within, and none over by more than "
    "half (article 2(5))."
)
CA_LIMITS_DATE = "of the early 1990s"
RULES: dict[str, Rule] = {
    LeachRule.EU_FLAT: Rule(
        "European Union",
        "articles that cannot be filled, or are no deeper than 25 mm",
        _eu(0.8, 0.07, LeachUnit.MG_PER_DM2),
        EU_ASKS,
    ),
    LeachRule.EU_FILLED: Rule(
        "European Union", "all other articles that can be filled", _eu(4.0, 0.3, LeachUnit.MG_PER_L), EU_ASKS
    ),
    LeachRule.EU_COOKING: Rule(
        "European Union",
        "cooking ware; packaging and storage vessels over 3 l",
        _eu(1.5, 0.1, LeachUnit.MG_PER_L),
        EU_ASKS,
    ),
    LeachRule.US_FLAT: Rule(
        "United States",
        "flatware: plates and saucers, no deeper inside than 25 mm",
        _us(3.0, 0.5),
        "Cadmium: the mean of six (guide 545.400). 4 % acetic acid, 24 h, room temperature.",
    ),
    LeachRule.US_SMALL: Rule(
        "United States",
        "hollowware under 1.1 l, not cups and mugs",
        _us(2.0, 0.5),
        "Cadmium: any one of six (guide 545.400). 4 % acetic acid, 24 h, room temperature.",
    ),
    LeachRule.US_LARGE: Rule(
        "United States",
        "hollowware of 1.1 l and over, not pitchers",
        _us(1.0, 0.25),
        "Cadmium: any one of six (guide 545.400). 4 % acetic acid, 24 h, room temperature.",
    ),
    LeachRule.US_CUPS: Rule(
        "United States",
        "cups, mugs and pitchers",
        _us(0.5, None),
        "Cadmium goes by size: 0.5 mg/l under 1.1 l, 0.25 mg/l from 1.1 l on (guide 545.400). 4 % acetic acid, 24 h, "
        "room temperature.",
    ),
    LeachRule.CA_FLAT: Rule(
        "California",
        "flatware",
        (Limit(Element.LEAD, 0.226, LeachUnit.MG_PER_L, CA_SOURCE, CA_LIMITS_DATE),),
        "Printed in ppm, which for dilute acid is mg/l. A level from which a warning is asked for.",
    ),
    LeachRule.CA_OTHER: Rule(
        "California",
        "tableware other than flatware",
        (Limit(Element.LEAD, 0.100, LeachUnit.MG_PER_L, CA_SOURCE, CA_LIMITS_DATE),),
        "Printed in ppm, which for dilute acid is mg/l. A level from which a warning is asked for.",
    ),
}


def limit_of(rule: str, element: str) -> Limit | None:
    """What a published rule names for an element; None where it names nothing.

    >>> limit_of(LeachRule.EU_FLAT, Element.COPPER) is None
    True
    """
    return (
        next((one for one in RULES[rule].limits if one.element == element), None) if rule in RULES else None
    )


class Against(Enum):
    """Where a figure lies beside the limit named; no word of it says that ware may be used."""

    BELOW = "below the limit named"
    AT = "at the limit named"
    ABOVE = "above the limit named"
    UNTOLD = "not told: the laboratory’s own least reading lies above the limit named"
    OTHER_UNIT = "not compared: the limit named is by another measure"
    NONE = "no limit named"


@dataclass(frozen=True, slots=True)
class Figure:
    """What a laboratory measured of one element; `is_less` where it wrote "less than"."""

    element: str
    amount: float
    unit: str
    is_less: bool = False

    @property
    def words(self) -> str:
        """The figure as the report has it.

        >>> Figure(Element.LEAD, 0.05, LeachUnit.MG_PER_L, is_less=True).words
        'less than 0.05 mg/l'
        """
        return f"{'less than ' if self.is_less else ''}{amount_words(self.amount, self.unit)}"


def against(figure: Figure, limit: Limit | None) -> Against:
    """Where a figure lies beside a limit.

    "Less than" says something only where it is no more than the limit.

    >>> limit = limit_of(LeachRule.EU_FILLED, Element.CADMIUM)
    >>> against(Figure(Element.CADMIUM, 0.02, LeachUnit.MG_PER_L), limit).value
    'below the limit named'
    """
    if limit is None:
        return Against.NONE
    if limit.unit != figure.unit:
        return Against.OTHER_UNIT
    if figure.is_less:
        return Against.BELOW if figure.amount <= limit.amount else Against.UNTOLD
    if figure.amount == limit.amount:
        return Against.AT
    return Against.BELOW if figure.amount < limit.amount else Against.ABOVE


def amount_words(amount: float, unit: str) -> str:
    """An amount with its unit.

    >>> amount_words(0.07, LeachUnit.MG_PER_DM2)
    '0.07 mg/dm²'
    """
    return f"{amount:g} {LeachUnit.label_of(unit)}"

"""Water that fired clay takes up, from masses, and the classes that standards make of it.

ASTM C373: dry mass D at 150 °C to constant mass, boiled 5 h and soaked 24 h more, hung in water S, blotted M, to
0.01 g, on five pieces of 50 g at least. ISO 10545-3 weighs dry m1 and wet m2: E % = 100 (m2 - m1) / m1. Both take
up water differently, so a result is told with its method and never pooled with another's.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import mean, stdev

from tiles.vocabulary import AbsorptionMethod

# ASTM C373 asks for as many pieces, each at least so heavy [g].
PIECES_ASKED = 5
MASS_ASKED_G = 50.0
# A result an odd hundred-millionth over a limit is on it: figures are worked out in binary.
PLACES = 6
GROUP_BEYOND = "III"
C373 = (AbsorptionMethod.C373_BOIL, AbsorptionMethod.C373_VACUUM)

# How each is done. Extracts of C373-88 and -18 and pages about ISO 10545-3; what is from memory says so.
DONE_BY: dict[str, str] = {
    AbsorptionMethod.C373_BOIL: "Dry at 150 °C to constant mass. Boil 5 h in distilled water, leave it in 24 h more. "
    "Weigh hung in water, then blotted. To 0.01 g, five pieces of 50 g at least (ASTM C373). For extruded tiles and "
    "ware that is no tile.",
    AbsorptionMethod.C373_VACUUM: "Dry at 150 °C to constant mass, then water let in under vacuum as the standard "
    "says. To 0.01 g, five pieces of 50 g at least (ASTM C373-18). For pressed tiles.",
    AbsorptionMethod.ISO_BOIL: "Dry to constant mass. Boil 2 h, then leave it in the water to cool, about 4 h (ISO "
    "10545-3; the 4 h from memory, unverified).",
    AbsorptionMethod.ISO_VACUUM: "Dry to constant mass, then water let in under vacuum as the standard says (ISO "
    "10545-3).",
    AbsorptionMethod.SOAK: "Soaked without boiling or vacuum: less water goes in than a standard drives in (common "
    "practice, no source), so no class is told.",
}


@dataclass(frozen=True, slots=True)
class Class:
    """One class of a standard: over `above`, up to and with `up_to` per cent; None is without end."""

    name: str
    above: float | None
    up_to: float | None

    @property
    def bounds(self) -> str:
        """The bounds in words.

        >>> Class("Ib", 0.5, 3).bounds, Class("III", 10, None).bounds
        ('over 0.5 to 3 %', 'over 10 %')
        """
        if self.up_to is None:
            return f"over {self.above:g} %"
        return f"to {self.up_to:g} %" if self.above is None else f"over {self.above:g} to {self.up_to:g} %"


@dataclass(frozen=True, slots=True)
class Classing:
    """A set of classes by the water taken up, and where it is printed."""

    name: str
    classes: tuple[Class, ...]
    source: str

    def of(self, pct: float) -> Class:
        """The class an absorption in per cent falls into, upper end included.

        >>> [TILE_GROUPS.of(pct).name for pct in (0.5, 0.51, 10.01)]
        ['Ia', 'Ib', 'III']
        """
        rounded = round(pct, PLACES)
        return next(one for one in self.classes if one.up_to is None or rounded <= one.up_to)


TILE_GROUPS = Classing(
    "ISO 13006 group",
    (
        Class("Ia", None, 0.5),
        Class("Ib", 0.5, 3),
        Class("IIa", 3, 6),
        Class("IIb", 6, 10),
        Class(GROUP_BEYOND, 10, None),
    ),
    "ISO 13006 / EN 14411, for floor and wall tiles, as printed on four tile-trade pages; the letter before the group "
    "says how the tile was shaped (A extruded, B pressed).",
)
AMERICAN = Classing(
    "ANSI A137.1",
    (
        Class("impervious", None, 0.5),
        Class("vitreous", 0.5, 3),
        Class("semi-vitreous", 3, 7),
        Class("non-vitreous", 7, None),
    ),
    "ANSI A137.1, for tiles; the first limit as printed on a tile page, the others from memory, unverified.",
)
CLASSINGS = (TILE_GROUPS, AMERICAN)
STUDIO_CUSTOM = (
    "For stoneware pots that hold water, studios often ask for no more than 1 to 2 %, some for 0.5 % "
    "(common practice, no standard)."
)


@dataclass(frozen=True, slots=True)
class Masses:
    """One piece as weighed [g]; the suspended mass where it was hung in water."""

    dry_g: float
    wet_g: float
    suspended_g: float | None = None


@dataclass(frozen=True, slots=True)
class Trouble:
    """A mass that cannot be: which one, and in words what to do."""

    field: str
    words: str


def troubles(dry_g: float | None, wet_g: float | None, suspended_g: float | None) -> Iterator[Trouble]:
    """What is out of order among the masses of one piece; None is one that is not written.

    >>> [one.field for one in troubles(53.46, 52.31, None)], [one.field for one in troubles(52.31, 53.46, 30.12)]
    (['wet_g'], [])
    """
    if dry_g is None:
        yield Trouble("dry_g", "Write the dry mass.")
        return
    if wet_g is None:
        yield Trouble("wet_g", "Write the mass with water in it.")
    elif wet_g < dry_g:
        yield Trouble(
            "wet_g", "Wet is lighter than dry. The two may have changed places, or the piece lost a chip."
        )
    if suspended_g is not None and suspended_g >= dry_g:
        yield Trouble(
            "suspended_g", "Hung in water a piece weighs less than dry. Look at what the scale showed."
        )


def absorption_pct(masses: Masses) -> float:
    """Water taken up, in per cent of the dry mass.

    Raises
    ------
    ValueError : the masses are out of order

    Examples
    --------
    >>> round(absorption_pct(Masses(52.31, 53.46)), 2)
    2.2
    """
    if masses.dry_g <= 0:
        raise ValueError("The dry mass is more than nothing.")
    for trouble in troubles(masses.dry_g, masses.wet_g, masses.suspended_g):
        raise ValueError(trouble.words)
    return 100 * (masses.wet_g - masses.dry_g) / masses.dry_g


@dataclass(frozen=True, slots=True)
class Suspended:
    """What a suspended mass tells beside absorption (symbols of C373; formulas from memory, unverified)."""

    open_pores_pct: float
    specific_gravity: float
    bulk_g_per_cm3: float


def of_suspended(masses: Masses) -> Suspended | None:
    """Apparent porosity, apparent specific gravity and bulk density; None where the piece was not hung in water.

    V = M - S, a cubic centimetre of water weighing a gram; P = 100 (M - D) / V; T = D / (D - S); B = D / V.

    Examples
    --------
    >>> found = of_suspended(Masses(52.31, 53.46, 30.12))
    >>> round(found.open_pores_pct, 2), round(found.specific_gravity, 3), round(found.bulk_g_per_cm3, 3)
    (4.93, 2.357, 2.241)
    """
    if masses.suspended_g is None:
        return None
    absorption_pct(masses)
    volume = masses.wet_g - masses.suspended_g
    return Suspended(
        100 * (masses.wet_g - masses.dry_g) / volume,
        masses.dry_g / (masses.dry_g - masses.suspended_g),
        masses.dry_g / volume,
    )


def give_or_take(masses: Masses, step_g: float) -> float:
    """How far an absorption may be off by reading both masses to the step of the scale, in per cent of the dry mass.

    A reading is off by up to half a step, evenly spread; both together within twice their standard deviation.

    >>> round(give_or_take(Masses(50, 51), 0.01), 3)
    0.016
    """
    off = step_g / sqrt(12)
    return 2 * 100 / masses.dry_g * sqrt(off**2 + (off * masses.wet_g / masses.dry_g) ** 2)


@dataclass(frozen=True, slots=True)
class Worked:
    """One piece, worked out."""

    masses: Masses
    pct: float
    hung: Suspended | None


@dataclass(frozen=True, slots=True)
class Spread:
    """Figures of several pieces: their mean, how they scatter (none from one piece), the least and the most."""

    n: int
    mean: float
    deviation: float | None
    low: float
    high: float


def spread_of(values: Sequence[float]) -> Spread:
    """Mean and sample standard deviation of at least one value.

    >>> found = spread_of([2.0, 2.4])
    >>> found.n, round(found.mean, 2), spread_of([2.2]).deviation
    (2, 2.2, None)
    """
    return Spread(
        len(values), mean(values), stdev(values) if len(values) > 1 else None, min(values), max(values)
    )


@dataclass(frozen=True, slots=True)
class Classed:
    """A mean under one set of classes, and the classes of the least and the most."""

    classing: Classing
    of_mean: Class
    low: Class
    high: Class

    @property
    def is_mixed(self) -> bool:
        """Whether single pieces fall into different classes."""
        return self.low != self.high


@dataclass(frozen=True, slots=True)
class Result:
    """All pieces of one test, worked out."""

    method: str
    pieces: tuple[Worked, ...]
    absorption: Spread
    open_pores: Spread | None
    specific_gravity: Spread | None
    bulk: Spread | None
    give_or_take: float
    classed: tuple[Classed, ...]
    short_of: tuple[str, ...]


def result_of(pieces: Sequence[Masses], method: str, step_g: float) -> Result:
    """Absorption of one body after one firing, from at least one piece in good order.

    >>> found = result_of([Masses(50, 50.25), Masses(50, 50.15)], AbsorptionMethod.ISO_BOIL, 0.01)
    >>> round(found.absorption.mean, 2), found.classed[0].of_mean.name
    (0.4, 'Ia')
    """
    worked = tuple(Worked(one, absorption_pct(one), of_suspended(one)) for one in pieces)
    absorption = spread_of([one.pct for one in worked])
    hung = [one.hung for one in worked if one.hung]
    return Result(
        method,
        worked,
        absorption,
        spread_of([one.open_pores_pct for one in hung]) if hung else None,
        spread_of([one.specific_gravity for one in hung]) if hung else None,
        spread_of([one.bulk_g_per_cm3 for one in hung]) if hung else None,
        max(give_or_take(one, step_g) for one in pieces),
        _classed(absorption, method),
        tuple(_short_of(pieces, method, step_g)),
    )


def _classed(found: Spread, method: str) -> tuple[Classed, ...]:
    if method == AbsorptionMethod.SOAK:
        return ()
    return tuple(Classed(one, one.of(found.mean), one.of(found.low), one.of(found.high)) for one in CLASSINGS)


def _short_of(pieces: Sequence[Masses], method: str, step_g: float) -> Iterator[str]:
    """Where a test gives less than C373 asks for."""
    if method not in C373:
        return
    if len(pieces) < PIECES_ASKED:
        yield f"{len(pieces)} of {PIECES_ASKED} pieces"
    if light := sum(one.dry_g < MASS_ASKED_G for one in pieces):
        yield f"{light} under {MASS_ASKED_G:g} g"
    if step_g > 0.01 + 1e-9:
        yield f"weighed to {step_g:g} g instead of 0.01 g"

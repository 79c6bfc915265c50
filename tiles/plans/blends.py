"""Line, triaxial and wider blends: the share of each glaze in each mix, and what to weigh for it.

The points are a simplex lattice (Scheffé 1958, J. R. Stat. Soc. B 20:344; page from memory, unverified). That potters
call them line blend and triaxial blend, and often mix 11 or 21, is common practice, no source.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

MOST_MIXES = 1_000


@dataclass(frozen=True, slots=True)
class Mix:
    """One mix of a blend. `parts` are shares of the whole, in the order of the glazes; `masses_g` what to weigh."""

    number: int
    parts: tuple[Fraction, ...]
    masses_g: tuple[float, ...]

    @property
    def percents(self) -> tuple[float, ...]:
        return tuple(round(100 * float(part), 2) for part in self.parts)


def blend(glazes: int, steps: int, batch_g: float, *, to_g: float = 0.1) -> list[Mix]:
    """All mixes of `glazes` whose parts are multiples of one in `steps`, the corners among them.

    Parameters
    ----------
    glazes : 2 for a line, 3 for a triaxial, up to 5
    steps : from one corner to the next; 10 gives a line of 11, 5 a triaxial of 21
    batch_g : mass of each mix [g]
    to_g : the finest the scale shows [g]; the masses of a mix add up to the batch

    Raises
    ------
    ValueError : figures out of range, in words

    >>> [mix.masses_g for mix in blend(2, 4, 100)]
    [(100.0, 0.0), (75.0, 25.0), (50.0, 50.0), (25.0, 75.0), (0.0, 100.0)]
    >>> len(blend(3, 5, 100))
    21
    """
    if not 2 <= glazes <= 5:
        raise ValueError("A blend takes 2 to 5 glazes.")
    if not 1 <= steps <= 50:
        raise ValueError("A blend takes 1 to 50 steps.")
    if not (0 < to_g <= batch_g <= 100_000):
        raise ValueError("The batch must be heavier than the scale’s finest step, and at most 100 kg.")
    points = list(_points(glazes, steps))
    if len(points) > MOST_MIXES:
        raise ValueError(f"That would be {len(points)} mixes; take fewer steps.")
    return [_mix(number, point, steps, batch_g, to_g) for number, point in enumerate(points, start=1)]


def _points(glazes: int, steps: int) -> Iterator[tuple[int, ...]]:
    """Whole numbers that add up to `steps`, the first glaze alone first."""
    if glazes == 1:
        yield (steps,)
        return
    for first in range(steps, -1, -1):
        yield from ((first, *rest) for rest in _points(glazes - 1, steps - first))


def _mix(number: int, point: Sequence[int], steps: int, batch_g: float, to_g: float) -> Mix:
    parts = tuple(Fraction(part, steps) for part in point)
    return Mix(number, parts, weighed(parts, batch_g, to_g))


def weighed(parts: Sequence[Fraction], batch_g: float, to_g: float) -> tuple[float, ...]:
    """Masses in whole steps of the scale that add up to the batch: the largest remainders are rounded up.

    >>> weighed((Fraction(1, 3), Fraction(1, 3), Fraction(1, 3)), 100, 0.1)
    (33.4, 33.3, 33.3)
    """
    whole = round(batch_g / to_g)
    exact = [part * whole for part in parts]
    steps = [int(one) for one in exact]
    by_remainder = sorted(range(len(parts)), key=lambda place: (steps[place] - exact[place], place))
    for place in by_remainder[: whole - sum(steps)]:
        steps[place] += 1
    return tuple(round(step * to_g, 6) for step in steps)

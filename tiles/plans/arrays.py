"""Covering arrays that need no search: every factor has the same number of levels.

Each function returns rows of levels 0 to levels - 1. Sources: Bush 1952, Ann. Math. Stat. 23:426 (orthogonal arrays
from polynomials over a field); MacNeish 1922, Ann. Math. 23:221 (products); Katona 1973 and Kleitman and Spencer 1973
(two levels); Stevens and Mendelsohn 1999 (products of covering arrays); Meagher and Stevens 2005, J. Combin. Des.
13:70 (rotated starters). Authors, years and pages from memory, unverified; every array is checked by the tests.
"""

from collections.abc import Iterator
from functools import cache
from itertools import combinations, islice, product
from math import comb

from tiles.plans.coverage import Row
from tiles.plans.fields import field, next_prime_power, prime_power
from tiles.plans.found import FOUND, STARTERS

Array = tuple[Row, ...]


def _first_columns(rows: Array, factors: int) -> Array:
    return tuple(row[:factors] for row in rows)


def sums(levels: int, strength: int) -> Array:
    """One factor more than the strength: each row's last level is the sum of the others.

    >>> len(sums(6, 2))
    36
    """
    return tuple((*row, sum(row) % levels) for row in product(range(levels), repeat=strength))


def polynomials(order: int, strength: int) -> Array:
    """The orthogonal array of `order` + 1 factors from all polynomials below the degree `strength` (Bush).

    For strength 3 and a power of two one factor more fits, the middle coefficient.

    >>> len(polynomials(5, 2)), len(polynomials(5, 2)[0])
    (25, 6)
    """
    numbers = field(order)
    more = strength == 3 and order % 2 == 0
    return tuple(
        (
            *(numbers.value_at(coefficients, x) for x in range(order)),
            coefficients[0],
            *((coefficients[1],) if more else ()),
        )
        for coefficients in product(range(order), repeat=strength)
    )


@cache
def side_by_side(levels: int) -> Array:
    """The orthogonal array of strength 2 as a product of those of the prime powers in `levels` (MacNeish).

    >>> len(side_by_side(12)), len(side_by_side(12)[0])
    (144, 4)
    """
    if prime_power(levels):
        return polynomials(levels, 2)
    left = next(part for part in range(levels - 1, 1, -1) if levels % part == 0 and prime_power(part))
    right = levels // left
    return tuple(
        tuple(a * right + b for a, b in zip(one, other, strict=False))
        for one, other in product(side_by_side(left), side_by_side(right))
    )


def halves(factors: int) -> Array:
    """Two levels: each factor is another choice of half the rows, beside a row of zeros (Katona; Kleitman, Spencer).

    >>> len(halves(10)), len(halves(11))
    (6, 7)
    """
    rows = next(rows for rows in range(4, factors + 5) if comb(rows - 1, (rows + 1) // 2) >= factors)
    chosen = list(islice(combinations(range(1, rows), (rows + 1) // 2), factors))
    return tuple(tuple(int(row in one) for one in chosen) for row in range(rows))


def rotated(starter: str, levels: int) -> Array:
    """All turns of a starter, each with 0 to levels - 2 added; `*`, the last level, stays, and has a row of its own."""
    last = levels - 1
    codes = [last if mark == "*" else int(mark, 36) for mark in starter]
    turned = [codes[turn:] + codes[:turn] for turn in range(len(codes))]
    moved = (
        tuple(code if code == last else (code + step) % last for code in row)
        for row in turned
        for step in range(last)
    )
    return (*moved, (last,) * len(codes))


def spread(rows: Array, order: int) -> Array:
    """`order` times as many factors and one more, for order² - order more rows (Stevens and Mendelsohn).

    Each factor is repeated `order` times; the rows of the field's array that are not constant tell the repeats apart.

    >>> len(spread(polynomials(3, 2), 3)), len(spread(polynomials(3, 2), 3)[0])
    (15, 13)
    """
    repeated = tuple((*(level for level in row for _ in range(order)), 0) for row in rows)
    apart = (row for row in polynomials(order, 2) if row[order])
    return (*repeated, *((*(row[:order] * len(rows[0])), row[order]) for row in apart))


def uniform(factors: int, levels: int, strength: int) -> Iterator[tuple[str, Array]]:
    """Ways to a covering array of so many factors, each with its name, those with the fewest rows first."""
    ways = [(name, rows) for name, rows in _ways(factors, levels, strength) if len(rows[0]) >= factors]
    for name, rows in sorted(ways, key=lambda way: len(way[1])):
        yield name, _first_columns(rows, factors)


def _ways(factors: int, levels: int, strength: int) -> Iterator[tuple[str, Array]]:
    if levels < 2 or strength > factors:
        return
    yield from _kept(factors, levels, strength)
    if factors <= strength + 1:
        yield "sums", sums(levels, strength)
    order = next_prime_power(levels)
    if factors <= order + 1 + (strength == 3 and order % 2 == 0):
        yield "orthogonal array", polynomials(order, strength)
    if strength == 2:
        yield from _pairwise(factors, levels, order)


def _pairwise(factors: int, levels: int, order: int) -> Iterator[tuple[str, Array]]:
    if levels == 2:
        yield "halves", halves(factors)
    if factors <= 4 and order != levels:
        yield "product of orthogonal arrays", side_by_side(levels)
    if factors > order + 1:
        yield "spread array", _spread_far_enough(factors, order)


@cache
def _spread_far_enough(factors: int, order: int) -> Array:
    rows = polynomials(order, 2)
    while len(rows[0]) < factors:
        rows = spread(rows, order)
    return rows


def _kept(factors: int, levels: int, strength: int) -> Iterator[tuple[str, Array]]:
    """Arrays found by search, of at least so many factors."""
    for (width, size, power), rows in FOUND.items():
        if size == levels and power == strength and factors <= width:
            yield "array found", rows
    if strength == 2:
        for size, starter in STARTERS:
            if size == levels and factors <= len(starter):
                yield "rotated starter", rotated(starter, levels)

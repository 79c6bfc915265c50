"""Finite fields, from which orthogonal arrays are built."""

from dataclasses import dataclass
from functools import cache
from itertools import product


@dataclass(frozen=True, slots=True)
class Field:
    """The field of `order` elements, written 0 to order - 1; 0 and 1 are its zero and one."""

    order: int
    sums: tuple[tuple[int, ...], ...]
    products: tuple[tuple[int, ...], ...]

    def value_at(self, coefficients: tuple[int, ...], x: int) -> int:
        """The value at `x` of the polynomial with these coefficients, the highest power first (Horner)."""
        value = 0
        for coefficient in coefficients:
            value = self.sums[self.products[value][x]][coefficient]
        return value


def prime_power(order: int) -> tuple[int, int] | None:
    """The prime and exponent that make `order`, or None.

    >>> prime_power(9), prime_power(7), prime_power(6)
    ((3, 2), (7, 1), None)
    """
    prime = next((number for number in range(2, order + 1) if order % number == 0), 0)
    if not prime:
        return None
    exponent, left = 0, order
    while left % prime == 0:
        left, exponent = left // prime, exponent + 1
    return (prime, exponent) if left == 1 else None


def next_prime_power(number: int) -> int:
    """The smallest prime power that is not below `number`.

    >>> next_prime_power(6), next_prime_power(9), next_prime_power(14)
    (7, 9, 16)
    """
    return next(order for order in range(max(number, 2), 2 * number + 3) if prime_power(order))


@cache
def field(order: int) -> Field:
    """The field of that order: numbers modulo a prime, or polynomials modulo an irreducible one.

    Raises
    ------
    ValueError : no field has that many elements

    >>> field(4).products[2][3]
    1
    """
    power = prime_power(order)
    if power is None:
        raise ValueError(f"no field has {order} elements")
    prime, exponent = power
    for modulus in product(range(prime), repeat=exponent):
        products = _products(prime, modulus)
        if all(1 in row for row in products[1:]):
            return Field(order, _sums(prime, exponent), products)
    raise ValueError(f"no irreducible polynomial for {order}")  # pragma: no cover: there always is one


def _digits(number: int, prime: int, count: int) -> list[int]:
    return [number // prime**place % prime for place in range(count)]


def _number(digits: list[int], prime: int) -> int:
    return sum(digit * prime**place for place, digit in enumerate(digits))


def _sums(prime: int, exponent: int) -> tuple[tuple[int, ...], ...]:
    elements = [_digits(number, prime, exponent) for number in range(prime**exponent)]
    return tuple(
        tuple(
            _number([(a + b) % prime for a, b in zip(left, right, strict=True)], prime) for right in elements
        )
        for left in elements
    )


def _products(prime: int, modulus: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    """The table of multiplication where x**exponent equals minus the polynomial `modulus`, lowest power first."""
    elements = [_digits(number, prime, len(modulus)) for number in range(prime ** len(modulus))]
    return tuple(
        tuple(_number(_product(left, right, prime, modulus), prime) for right in elements)
        for left in elements
    )


def _product(left: list[int], right: list[int], prime: int, modulus: tuple[int, ...]) -> list[int]:
    size = len(modulus)
    whole = [0] * (2 * size - 1)
    for i, a in enumerate(left):
        for j, b in enumerate(right):
            whole[i + j] = (whole[i + j] + a * b) % prime
    for place in range(len(whole) - 1, size - 1, -1):
        for step, factor in enumerate(modulus):
            whole[place - size + step] = (whole[place - size + step] - whole[place] * factor) % prime
    return whole[:size]

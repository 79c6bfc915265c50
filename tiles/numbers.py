"""Tile numbers: digits and one Damm check digit, written 1042-9, as incised in clay and printed on labels.

The Damm digit catches every single wrong digit and every swap of neighbours (H. M. Damm, 2004; the table is
python-stdnum's, which follows the published one).
"""

import re

from stdnum import damm

# The lowest number a new studio gives: four digits from the first tile on, so that numbers sort and read alike.
FIRST = 1001
HIGHEST = 9_999_999


def check_digit(number: int) -> str:
    """The Damm digit of a tile number.

    Source: python-stdnum's documentation and the Damm algorithm's usual example, 572 gives 4.

    >>> check_digit(572)
    '4'
    """
    return str(damm.calc_check_digit(str(number)))


def write(number: int) -> str:
    """The tile number as incised and printed.

    >>> write(1042)
    '1042-9'
    """
    return f"{number}-{check_digit(number)}"


def read(text: str) -> int:
    """The number in what a person typed or scanned: 1042-9, 10429, 1042 9, #1042-9.

    Raises
    ------
    ValueError : not a tile number, or its check digit is wrong; the words are fit for a form

    >>> read(" 1042 9 ")
    1042
    """
    bare = re.sub(r"[\s#‐‑–—-]", "", text)
    if not re.fullmatch(r"[0-9]{2,8}", bare):
        raise ValueError("Write a tile number as digits and a check digit, such as 1042-9.")
    number, digit = int(bare[:-1]), bare[-1]
    if number < 1 or not damm.is_valid(bare):
        shown = text.strip().removeprefix("#") if _lacks_a_dash(text) else f"{number}-{digit}"
        trouble = (
            f"{shown} is no tile number: one digit is wrong or two are swapped. Compare it with the clay."
        )
        raise ValueError(f"{trouble}{_without_its_digit(text)}")
    return number


def _lacks_a_dash(text: str) -> bool:
    """Whether nothing sets the last digit apart, so that it may have been left out."""
    bare = text.strip().removeprefix("#")
    return bare.isdecimal() and 0 < int(bare) <= HIGHEST


def _without_its_digit(text: str) -> str:
    """What to write where the check digit may have been left out, as nothing sets the last digit apart.

    >>> _without_its_digit("1042"), _without_its_digit("1042-8")
    (' If its check digit was left out, write 1042-9.', '')
    """
    if not _lacks_a_dash(text):
        return ""
    bare = text.strip().removeprefix("#")
    return f" If its check digit was left out, write {write(int(bare))}."

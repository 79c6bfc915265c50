"""Numbers near a mistyped tile number: what a person may have meant."""

import re

from stdnum import damm

from tiles.numbers import HIGHEST


def _swapped(digits: str) -> set[str]:
    pairs = range(len(digits) - 1)
    return {digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :] for at in pairs}


def _one_wrong(digits: str) -> set[str]:
    return {digits[:at] + other + digits[at + 1 :] for at in range(len(digits)) for other in "0123456789"} - {
        digits
    }


def near_numbers(text: str) -> list[int]:
    """Tile numbers that differ from what was typed by a swap of neighbours, one digit, or the check digit left out.

    The likeliest slips come first. Nothing comes near what has no two digits or more than a number has.

    >>> near_numbers("10492")[:1]
    [1042]
    >>> 1042 in near_numbers("1042")
    True
    """
    digits = re.sub(r"[^0-9]", "", text)
    if not 2 <= len(digits) <= len(str(HIGHEST)) + 1:
        return []
    swapped = sorted(each for each in _swapped(digits) if damm.is_valid(each))
    one_wrong = sorted(each for each in _one_wrong(digits) if damm.is_valid(each))
    meant = [*(int(each[:-1]) for each in swapped), int(digits), *(int(each[:-1]) for each in one_wrong)]
    return [number for number in dict.fromkeys(meant) if 1 <= number <= HIGHEST]

"""Counts and lists as a sentence says them."""

from collections.abc import Sequence


def counted(number: int, thing: str) -> str:
    """
    >>> counted(1, "row"), counted(2000, "row")
    ('1 row', '2,000 rows')
    """
    return f"{number:,} {thing}{'' if number == 1 else 's'}"


def listed(things: Sequence[str]) -> str:
    """One thing or several, none of them nothing.

    >>> listed(["1042-9"]), listed(["1042-9", "1043-2", "1044-6"])
    ('1042-9', '1042-9, 1043-2 and 1044-6')
    """
    return things[0] if len(things) == 1 else f"{', '.join(things[:-1])} and {things[-1]}"

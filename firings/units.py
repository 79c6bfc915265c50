"""Figures as people write them."""

import re
from decimal import Decimal, InvalidOperation


def read_figure(text: str) -> Decimal:
    """A figure with decimal comma or point, its thousands apart by a space or not at all.

    A comma or a point is always the decimal mark: 1,222 is a little more than one.

    Raises
    ------
    ValueError : not a figure, in words fit for a form

    >>> read_figure("1 222,5"), read_figure("-0.4")
    (Decimal('1222.5'), Decimal('-0.4'))
    """
    bare = re.sub(r"(?<=\d)[\s\u00a0\u202f](?=\d{3}(\D|$))", "", text.strip()).replace("−", "-")
    if not re.fullmatch(r"[-+]?(\d+([.,]\d*)?|[.,]\d+)", bare, re.ASCII):
        raise ValueError(f"{text.strip()!r} is not a figure; write it like 1.5 or 1,5.")
    try:
        return Decimal(bare.replace(",", "."))
    except InvalidOperation:
        raise ValueError(f"{text.strip()!r} is not a figure; write it like 1.5 or 1,5.") from None


def read_key(text: str) -> int:
    """A record's key as it was sent; 0, which no record has, where it is none.

    >>> read_key("17"), read_key("17; --"), read_key("9" * 40)
    (17, 0, 0)
    """
    return int(text) if re.fullmatch(r"[0-9]{1,18}", text) else 0


def figure_words(value: Decimal | None) -> str:
    """A figure as one writes it, without idle noughts; nothing for None.

    >>> figure_words(Decimal("9.60")), figure_words(Decimal("100.00"))
    ('9.6', '100')
    """
    return "" if value is None else f"{value.normalize():f}"

"""A record's key, a number or a stamp as an address, a form or the print tray wrote it."""

# Sixty-four bits hold any number of eighteen digits; a database asked for a larger one answers with an error.
MOST_DIGITS = 18


def is_key(words: str) -> bool:
    """Whether it is a whole number that a database can hold.

    >>> [is_key(words) for words in ("12", "-1", "1.5", "٤٢", "9" * 19)]
    [True, False, False, False, False]
    """
    return words.isascii() and words.isdecimal() and len(words) <= MOST_DIGITS


def key_of(words: str) -> int:
    """The key that was written, 0 where it is none: no record has that.

    >>> key_of("42"), key_of(""), key_of("-1"), key_of("٤٢"), key_of("9" * 19)
    (42, 0, 0, 0, 0)
    """
    return int(words) if is_key(words) else 0

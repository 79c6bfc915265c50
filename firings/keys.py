"""A record's key, a number or a stamp as an address, a form or the print tray wrote it."""

# Sixty-four bits hold any number of eighteen digits; a database asked for a larger one answers with an error.
MOST_DIGITS = 18


def key_of(words: str) -> int:
    """The key that was written, 0 where it is none: no record has that.

    >>> key_of("42"), key_of(""), key_of("-1"), key_of("٤٢"), key_of("9" * 19)
    (42, 0, 0, 0, 0)
    """
    is_key = words.isascii() and words.isdecimal() and len(words) <= MOST_DIGITS
    return int(words) if is_key else 0

"""Counts in words."""


def counted(number: int, thing: str) -> str:
    """
    >>> counted(1, "row"), counted(2000, "row")
    ('1 row', '2,000 rows')
    """
    return f"{number:,} {thing}" if number == 1 else f"{number:,} {thing}s"

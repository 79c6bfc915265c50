"""Whole numbers as people list them."""

import re


def read_listed(text: str, low: int, high: int, what: str) -> list[str]:
    """Numbers with commas or spaces between, or a range: "1, 2, 4", "1 to 3"; as levels of a plan, rising.

    Raises
    ------
    ValueError : a piece that is no number, falls, or is out of bounds; in words

    >>> read_listed("1 to 3, 5", 1, 20, "coats"), read_listed("1 2 4", 1, 20, "coats")
    (['1', '2', '3', '5'], ['1', '2', '4'])
    """
    found: set[int] = set()
    for piece in (one.strip() for one in re.split(r"[,;\n]|(?<=\d)\s+(?=\d)", text) if one.strip()):
        ends = re.fullmatch(r"(\d{1,4})(?:\s*(?:to|[-–])\s*(\d{1,4}))?", piece, re.ASCII)
        if not ends:
            raise ValueError(
                f"{piece!r} is not a number of {what}; list them, such as {low}, {low + 1} or {low} to 3."
            )
        first, last = int(ends[1]), int(ends[2] or ends[1])
        if first > last:
            raise ValueError(f"{piece} falls: write the smaller number first.")
        if not low <= first <= last <= high or last - first > 20:
            raise ValueError(f"{piece}: {what} go from {low} to {high}, at most twenty of them.")
        found.update(range(first, last + 1))
    return [str(number) for number in sorted(found)]

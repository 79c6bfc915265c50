"""The sheet as it comes back from the bench: one cell a layer, with the coats that were really put on."""

from collections.abc import Sequence

from tiles.recording.grid import Amount, read_amount


def written(amounts: Sequence[Amount]) -> str:
    """A layer's amounts in the order of its zones; one figure where all are the same.

    >>> written([Amount(coats=1), Amount(coats=2), Amount(coats=3)]), written([Amount(coats=2), Amount(coats=2)])
    ('1 2 3', '2')
    """
    typed = [amount.typed for amount in amounts]
    return typed[0] if len(set(typed)) == 1 else " ".join(typed)


def read(text: str, method: str, zones: Sequence[str]) -> list[Amount | None]:
    """What was typed for a layer: one amount for all its zones, or one for each, 0 or - where it was left out.

    Raises
    ------
    ValueError : not an amount, or not as many as there are zones; the words say what to type

    >>> read("2", "brush", ["a", "b"]), read("1 - ", "brush", ["a", "b"])[1]
    ([Amount(coats=2, dip_s=None), Amount(coats=2, dip_s=None)], None)
    """
    parts = text.replace("/", " ").split() or ["-"]
    amounts = [None if part in {"-", "–", "0"} else read_amount(part, method) for part in parts]
    if len(amounts) == 1:
        return amounts * len(zones)
    if len(amounts) != len(zones):
        raise ValueError(f"One figure for all, or {len(zones)} of them: {', '.join(zones)}.")
    return amounts

"""Refiring is ordinary: which of its glaze firings a tile is in, in words."""

ORDINALS = ("second", "third", "fourth", "fifth")


def ordinal_words(sequence: int) -> str:
    """Which glaze firing of the tile this is; nothing for its first.

    >>> ordinal_words(1), ordinal_words(2), ordinal_words(7)
    ('', 'second firing', 'firing 7')
    """
    if sequence < 2:
        return ""
    return f"{ORDINALS[sequence - 2]} firing" if sequence - 2 < len(ORDINALS) else f"firing {sequence}"

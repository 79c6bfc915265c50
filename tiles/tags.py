"""A studio's own words that gather glazes: liner, chun, for the shop."""

import re

MOST, LONGEST = 12, 30
# What `write` makes of so many, with what stands between them.
LONGEST_TEXT = MOST * (LONGEST + 2)
# Whatever stands in an address as it is, and in a list with commas.
_TAG = re.compile(r"\w[\w '’&.+-]*")


def read(typed: str) -> tuple[str, ...]:
    """The tags of a text, each once, in small letters and in the order of the alphabet.

    Raises ValueError, in words for who typed it, where a tag cannot be kept.

    >>> read("Liner, chun ,  for the shop, chun")
    ('chun', 'for the shop', 'liner')
    """
    tags = {" ".join(piece.split()).lower() for piece in typed.replace(";", ",").split(",")} - {""}
    for tag in sorted(tags):
        if not _TAG.fullmatch(tag):
            raise ValueError(f"“{tag}” cannot be a tag. Use letters, figures, blanks and hyphens.")
        if len(tag) > LONGEST:
            raise ValueError(f"“{tag}” is longer than {LONGEST} letters. Shorten it.")
    if len(tags) > MOST:
        raise ValueError(f"These are {len(tags)} tags. Keep the {MOST} that help most.")
    return tuple(sorted(tags))


def write(tags: tuple[str, ...]) -> str:
    """Tags as one text, as they are kept and as a form shows them."""
    return ", ".join(tags)


def kept(text: str) -> tuple[str, ...]:
    """The tags of a text that `write` wrote."""
    return tuple(text.split(", ")) if text else ()

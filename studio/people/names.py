"""Sign-in names: what people type, made from what others read."""

import re
import unicodedata
from collections.abc import Container
from itertools import count


def sign_in_name(name: str, taken: Container[str] = ()) -> str:
    """A sign-in name for a person's name, free among those `taken` (lower case).

    >>> sign_in_name("Åsa Bøgh")
    'asa-bgh'
    >>> sign_in_name("Åsa Bøgh", taken={"asa-bgh"})
    'asa-bgh-2'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    base = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:100] or "person"
    candidates = (base if n == 1 else f"{base}-{n}" for n in count(1))
    return next(candidate for candidate in candidates if candidate not in taken)

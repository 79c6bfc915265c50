"""A photo on a public page is asked for under a seal: nobody can make up the address of another one."""

import hmac
from hashlib import sha256

WHOLE = "whole"


def seal(secret: str, token: str, photo: str, share: str) -> str:
    """The seal of a photo, or of a tile's part of one, for one public page: 128 bits of an HMAC (RFC 2104).

    >>> seal("s", "page", "aa", "whole") == seal("s", "page", "aa", "whole")
    True
    >>> seal("s", "page", "aa", "whole") == seal("s", "other", "aa", "whole")
    False
    """
    words = "\n".join(("public photo", token, photo, share))
    return hmac.new(secret.encode(), words.encode(), sha256).hexdigest()[:32]


def is_sealed(found: str, secret: str, token: str, photo: str, share: str) -> bool:
    """Whether a seal is that of this photo on this page; takes as long whatever was found."""
    return hmac.compare_digest(found.encode(), seal(secret, token, photo, share).encode())

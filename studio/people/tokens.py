"""The secret in a one-time link, and the mark by which it is known again."""

import hashlib
import secrets


def new_token() -> str:
    """256 bits that fit a link."""
    return secrets.token_urlsafe(32)


def mark_of(secret: str) -> str:
    """What is kept instead of a secret. It needs no salt: a token can't be guessed from a list."""
    return hashlib.sha256(secret.encode()).hexdigest()

"""How someone stood before a change and after it, in the address that undoes it; nobody can write one by hand."""

from dataclasses import astuple

from django.core import signing

from studio.people.services import Standing
from studio.roles import Role

SALT = "how someone stood"


def sealed(stood: Standing, left: Standing) -> str:
    """Both as one word of an address."""
    return signing.dumps([astuple(stood), astuple(left)], salt=SALT)


def unsealed(token: str) -> tuple[Standing, Standing]:
    """Both again.

    Raises
    ------
    ValueError : it was not written by `sealed`
    """
    try:
        stood, left = signing.loads(token, salt=SALT)
    except signing.BadSignature as wrong:
        raise ValueError(token) from wrong
    return _read(stood), _read(left)


def _read(written: list[object]) -> Standing:
    name, role, may_sign_in = written
    return Standing(str(name), Role(str(role)), bool(may_sign_in))

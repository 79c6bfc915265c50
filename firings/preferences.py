"""How this studio likes things written, and the address its printed codes carry."""

from dataclasses import dataclass
from ipaddress import ip_address
from typing import Literal
from urllib.parse import urlsplit


@dataclass(frozen=True, slots=True)
class Preferences:
    """One studio's preferences, as every page and print needs them.

    address : base URL without a trailing slash, such as ``http://192.168.1.20:8000``
    """

    studio_name: str = "Our studio"
    address: str = "http://127.0.0.1:8000"
    temperature_unit: Literal["C", "F"] = "C"
    length_unit: Literal["mm", "in"] = "mm"
    paper: Literal["A4", "Letter"] = "A4"

    @property
    def address_is_loopback(self) -> bool:
        """Whether a code printed with this address would open on no other machine.

        >>> Preferences(address="http://localhost:8000").address_is_loopback
        True
        >>> Preferences(address="http://192.168.1.20:8000").address_is_loopback
        False
        """
        host = urlsplit(self.address).hostname or ""
        if host == "localhost" or host.endswith(".localhost"):
            return True
        try:
            return ip_address(host).is_loopback or ip_address(host).is_unspecified
        except ValueError:
            return False

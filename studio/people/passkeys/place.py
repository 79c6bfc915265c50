"""Where passkeys work: a browser makes and shows them for a host name that it reaches securely, and for localhost."""

from dataclasses import dataclass
from ipaddress import ip_address
from urllib.parse import urlsplit


@dataclass(frozen=True, slots=True)
class Place:
    """An address at which passkeys work.

    site : its host name, for which a passkey is made and nowhere else shown
    origin : scheme, host and port, as the browser writes them into what is signed
    """

    site: str
    origin: str


def place_of(address: str) -> Place | None:
    """The place of an address, None where a browser refuses passkeys: without HTTPS, or by figures instead of a name.

    Source: W3C Web Authentication Level 3, 5.1.3 and 5.1.4 (effective domain; the interface is for secure contexts).

    >>> place_of("https://kiln.example:8443/sign-in/")
    Place(site='kiln.example', origin='https://kiln.example:8443')
    >>> place_of("http://localhost:8000").site
    'localhost'
    >>> place_of("http://kiln.example"), place_of("https://192.168.1.20"), place_of("http://127.0.0.1:8000")
    (None, None, None)
    """
    parts = urlsplit(address)
    site = parts.hostname or ""
    is_here = site == "localhost" or site.endswith(".localhost")
    if not site or not (is_here or parts.scheme == "https") or _is_figures(site):
        return None
    return Place(site, f"{parts.scheme}://{parts.netloc.lower()}")


def by_name(address: str) -> str:
    """The same page of this machine by its name, under which passkeys work; nothing for another machine's.

    >>> by_name("http://127.0.0.1:8000/sign-in/"), by_name("http://192.168.1.20:8000/")
    ('http://localhost:8000/sign-in/', '')
    """
    parts = urlsplit(address)
    if parts.scheme != "http" or parts.hostname not in ("127.0.0.1", "::1"):
        return ""
    return parts._replace(netloc=f"localhost:{parts.port}" if parts.port else "localhost").geturl()


def _is_figures(host: str) -> bool:
    try:
        ip_address(host)
    except ValueError:
        return False
    return True

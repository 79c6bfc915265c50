"""The studio's address as people write it, and as pages and printed codes carry it."""

import re
from urllib.parse import urlsplit

HOST = re.compile(r"[a-z0-9]([a-z0-9.-]*[a-z0-9])?|[0-9a-f:]*:[0-9a-f:.]*")


def base_address(text: str) -> str:
    """An address such as ``http://192.168.1.20:8000``, without anything behind it.

    >>> base_address("192.168.1.20:8000/")
    'http://192.168.1.20:8000'
    >>> base_address("https://Kiln.example")
    'https://kiln.example'

    Raises
    ------
    ValueError : nothing a phone could open, or more than scheme, host and port
    """
    written = text.strip().lower()
    parts = urlsplit(written if "://" in written else f"http://{written}")
    if parts.path.strip("/") or parts.query or parts.fragment or parts.username is not None:
        raise ValueError("Give the address without what follows it, such as http://192.168.1.20:8000.")
    if parts.scheme not in ("http", "https") or not HOST.fullmatch(parts.hostname or "") or parts.port == 0:
        raise ValueError("Write it as a browser shows it, such as http://192.168.1.20:8000.")
    return f"{parts.scheme}://{parts.netloc}"


def address_with_port(address: str, asked_at: str) -> str:
    """The address with the port of `asked_at`, the host a page was asked for at; "" where it needs none or says one.

    Where a web server passes requests on, it hands on the host it was itself asked at, which says no port.

    >>> address_with_port("http://192.168.1.20", "localhost:8000")
    'http://192.168.1.20:8000'
    >>> address_with_port("http://192.168.1.20:8000", "localhost:8000")
    ''
    >>> address_with_port("http://kiln.example", "kiln.example")
    ''
    """
    parts, asked = urlsplit(address), urlsplit(f"//{asked_at}")
    if parts.scheme != "http" or parts.port is not None or asked.port in (None, 80, 443):
        return ""
    return f"{address}:{asked.port}"

"""The machine's place on the network: a free port, an address that phones reach."""

import errno
import socket

from studio.serving.trouble import CannotStart

LOOPBACK = "127.0.0.1"
EVERY_NETWORK = "0.0.0.0"  # nosec B104 # only `make phones` asks for it, and says so

# An address kept for documentation (RFC 5737): asking for the way there sends nothing.
NOWHERE = ("192.0.2.1", 9)


def claim_port(host: str, port: int) -> None:
    """Make sure a server can listen here.

    Raises
    ------
    CannotStart : the port is taken, or kept for the system
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as trouble:
            raise CannotStart(_why_not(trouble, port)) from trouble


def _why_not(trouble: OSError, port: int) -> str:
    if trouble.errno == errno.EADDRINUSE:
        return f"Port {port} is in use by another program. Stop that one, or take another: PORT={port + 1} make start"
    if trouble.errno == errno.EACCES:
        return f"Port {port} is kept for the system. Take one above 1023: PORT=8000 make start"
    return f"Port {port} cannot be used: {trouble.strerror}."


def address_on_network() -> str:
    """This machine's address on the studio's own network, such as 192.168.1.20.

    Raises
    ------
    CannotStart : no network
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(NOWHERE)
        except OSError as trouble:
            raise CannotStart(
                "This machine is on no network. Join the studio’s network, then start again."
            ) from trouble
        return str(probe.getsockname()[0])

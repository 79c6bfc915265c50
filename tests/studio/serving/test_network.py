"""A port to serve on, an address phones reach."""

import socket
from ipaddress import ip_address

import pytest

from studio.serving.network import LOOPBACK, address_on_network, claim_port
from studio.serving.trouble import CannotStart


@pytest.fixture
def taken_port():
    with socket.create_server((LOOPBACK, 0)) as server:
        yield server.getsockname()[1]


def test_a_port_in_use_is_said_with_the_next_one_to_try(taken_port):
    with pytest.raises(CannotStart, match=rf"Port {taken_port} is in use.*PORT={taken_port + 1} make start"):
        claim_port(LOOPBACK, taken_port)


def test_a_port_taken_on_this_machine_alone_is_taken_for_phones_too(taken_port):
    with pytest.raises(CannotStart, match="in use"):
        claim_port("0.0.0.0", taken_port)


def test_a_port_just_let_go_can_be_claimed_again(taken_port):
    with socket.create_connection((LOOPBACK, taken_port)):
        pass
    with socket.create_server((LOOPBACK, 0)) as other:
        free = other.getsockname()[1]

    claim_port(LOOPBACK, free)
    claim_port(LOOPBACK, free)


def test_the_address_for_phones_is_one_of_this_machine(monkeypatch):
    monkeypatch.setattr(socket.socket, "connect", lambda self, place: self.bind((LOOPBACK, 0)))

    assert ip_address(address_on_network()).is_loopback


def test_a_machine_on_no_network_is_told_so(monkeypatch):
    def no_way(self, place):
        raise OSError(101, "Network is unreachable")

    monkeypatch.setattr(socket.socket, "connect", no_way)

    with pytest.raises(CannotStart, match="on no network"):
        address_on_network()

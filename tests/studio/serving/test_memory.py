"""Memory that pictures took goes back to the system."""

import platform

import pytest

from studio.serving import memory


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="only the GNU C library has to be told")
def test_the_library_takes_the_wish():
    assert memory.give_large_blocks_back()


def test_a_system_without_the_wish_is_left_alone(monkeypatch):
    monkeypatch.setattr(memory.ctypes, "CDLL", lambda name: object())

    assert not memory.give_large_blocks_back()

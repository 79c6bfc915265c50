"""The studio's address, as written by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.preferences.address import base_address


@pytest.mark.parametrize(
    ("written", "kept"),
    [
        ("http://192.168.1.20:8000", "http://192.168.1.20:8000"),
        ("  kiln:8000/ ", "http://kiln:8000"),
        ("HTTPS://Kiln.Example", "https://kiln.example"),
        ("http://[fd00::20]:8000", "http://[fd00::20]:8000"),
    ],
)
def test_an_address_is_kept_as_codes_carry_it(written, kept):
    assert base_address(written) == kept
    assert base_address(kept) == kept


@given(st.text(max_size=60))
def test_whatever_is_typed_is_kept_whole_or_refused_in_words(written):
    try:
        kept = base_address(written)
    except ValueError:
        return
    assert kept.startswith(("http://", "https://"))
    assert base_address(kept) == kept

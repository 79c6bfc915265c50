"""Sign-in names made from people's names."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.people.names import sign_in_name


@pytest.mark.parametrize(
    ("name", "made"),
    [("Rowan Reed", "rowan-reed"), ("  Zoë  D'Arcy ", "zoe-d-arcy"), ("陶芸家", "person"), ("", "person")],
)
def test_a_name_becomes_what_any_keyboard_types(name, made):
    assert sign_in_name(name) == made


@given(st.text(max_size=300), st.sets(st.sampled_from(["person", "person-2", "a", "a-2"])))
def test_any_name_gives_a_free_plain_sign_in_name(name, taken):
    made = sign_in_name(name, taken)

    assert made not in taken
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", made)
    assert len(made) <= 150

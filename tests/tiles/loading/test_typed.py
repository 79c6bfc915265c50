"""Tile numbers pasted or scanned, many at once."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles import numbers
from tiles.loading.typed import read_numbers


@pytest.mark.parametrize(
    "text",
    [
        "1042-9\n1043-2",
        "10429, 10432",
        "1042 9;1043 2",
        "1042-9 1043-2",
        "http://studio.example/T/1042-9\nhttp://studio.example/t/1043-2",
        "#1042-9\t#1043-2",
    ],
)
def test_a_list_is_read_however_it_is_written(text):
    assert read_numbers(text).numbers == (1042, 1043)
    assert read_numbers(text).troubles == ()


@given(
    st.lists(st.integers(1, numbers.HIGHEST), max_size=30),
    st.sampled_from(["\n", ", ", ";", "\t", "\r\n", " "]),
)
def test_every_written_number_is_read_once_and_in_order(given_numbers, between):
    typed = read_numbers(between.join(numbers.write(number) for number in given_numbers))

    assert typed.numbers == tuple(dict.fromkeys(given_numbers))
    assert typed.troubles == ()


def test_each_wrong_number_is_named_and_the_right_ones_stay():
    typed = read_numbers("1042-9\n1024-9\nshelf two")

    assert typed.numbers == (1042,)
    assert [trouble.split()[0] for trouble in typed.troubles] == ["1024-9", "“shelf”:", "“two”:"]


@given(st.text(max_size=200))
def test_nothing_typed_breaks_it(text):
    typed = read_numbers(text)

    assert all(1 <= number <= numbers.HIGHEST for number in typed.numbers)

"""Tile numbers: every slip of one digit and every swap of neighbours is caught as it is typed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiles import numbers

NUMBERS = st.integers(1, numbers.HIGHEST)


# The check digits of these numbers as worked from the published table of the algorithm (H. M. Damm, 2004);
# 572 gives 4 is its usual example, 11294 gives 6 stands in several public collections of programming tasks.
@pytest.mark.parametrize(("number", "digit"), [(572, "4"), (11294, "6"), (1, "3"), (42, "7"), (1042, "9")])
def test_the_published_check_digits(number, digit):
    assert numbers.check_digit(number) == digit


@pytest.mark.parametrize("typed", ["1042-9", "10429", " 1042 9 ", "#1042-9", "1042–9", "1042‑9"])
def test_a_number_is_read_as_people_write_it(typed):
    assert numbers.read(typed) == 1042


@given(NUMBERS)
def test_what_is_written_reads_back(number):
    assert numbers.read(numbers.write(number)) == number


@given(NUMBERS, st.data())
def test_one_wrong_digit_is_always_caught(number, data):
    written = numbers.write(number).replace("-", "")
    place = data.draw(st.integers(0, len(written) - 1))
    digit = data.draw(st.sampled_from([d for d in "0123456789" if d != written[place]]))

    with pytest.raises(ValueError, match="no tile number"):
        numbers.read(written[:place] + digit + written[place + 1 :])


@given(NUMBERS, st.data())
def test_two_swapped_neighbours_are_always_caught(number, data):
    written = numbers.write(number).replace("-", "")
    place = data.draw(st.integers(0, len(written) - 2))
    swapped = written[:place] + written[place + 1] + written[place] + written[place + 2 :]

    if swapped != written:
        with pytest.raises(ValueError, match="no tile number"):
            numbers.read(swapped)


@pytest.mark.parametrize("typed", ["", "9", "abc", "1042-9-3x", "12345678901", "１０４２９"])
def test_what_is_no_number_says_how_to_write_one(typed):
    with pytest.raises(ValueError, match="such as 1042-9"):
        numbers.read(typed)


def test_a_number_without_its_check_digit_is_told_which_it_is():
    with pytest.raises(ValueError, match=r"^1043 is no tile number.*left out, write 1043-2"):
        numbers.read("1043")
    with pytest.raises(ValueError, match=r"Compare it with the clay\.$"):
        numbers.read("1042-8")

"""What a person may have meant by a mistyped tile number."""

from hypothesis import given
from hypothesis import strategies as st

from tiles import numbers
from tiles.numbering.near import near_numbers

NUMBERS = st.integers(10, numbers.HIGHEST)


def digits_of(number):
    return numbers.write(number).replace("-", "")


@given(NUMBERS, st.data())
def test_a_swap_of_neighbours_finds_the_number_meant(number, data):
    digits = digits_of(number)
    at = data.draw(st.integers(0, len(digits) - 2))
    swapped = digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]

    assert number in near_numbers(swapped) or swapped == digits


@given(NUMBERS, st.data())
def test_one_wrong_digit_finds_the_number_meant(number, data):
    digits = digits_of(number)
    at = data.draw(st.integers(0, len(digits) - 1))
    other = data.draw(st.sampled_from("0123456789").filter(lambda digit: digit != digits[at]))

    assert number in near_numbers(digits[:at] + other + digits[at + 1 :])


@given(NUMBERS)
def test_a_check_digit_left_out_finds_the_number_meant(number):
    assert number in near_numbers(str(number))


@given(st.text(max_size=20))
def test_whatever_is_typed_only_numbers_come_near_it(text):
    assert all(1 <= number <= numbers.HIGHEST for number in near_numbers(text))


def test_a_swap_is_thought_of_before_another_digit():
    # 1024-9 is 1042-9 with two digits swapped
    assert near_numbers("1024-9")[0] == 1042

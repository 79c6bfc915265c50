"""Sentences that carry their degrees: said in either unit, kept and brought back."""

import copy
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.notice import Notice, apart, notice_from, plain_of, rate, said_in, temp
from firings.programmes.segments import Unit

figures = st.floats(-1000, 2000, allow_nan=False)
parts = st.one_of(st.text(), figures.map(temp), figures.map(apart), figures.map(rate))


def test_a_temperature_shifts_and_a_difference_only_stretches():
    said = Notice("At ", temp(100.0), " it was ", apart(10.0), " more, at ", rate(-60.0), ".")

    assert said == "At 100 °C it was 10 °C more, at −60 °C/h."
    assert said.words(Unit.FAHRENHEIT) == "At 212 °F it was 18 °F more, at −108 °F/h."


def test_one_notice_within_another_keeps_its_degrees():
    said = Notice(Notice("sensor ±", apart(9.0)), "; model ±", apart(4.5, 1))

    assert said.words(Unit.FAHRENHEIT) == "sensor ±16 °F; model ±8.1 °F"


def test_words_kept_before_are_said_as_they_stand():
    assert said_in("It is 20 °C.", Unit.FAHRENHEIT) == "It is 20 °C."
    assert notice_from("It is 20 °C.").words(Unit.FAHRENHEIT) == "It is 20 °C."
    assert plain_of("plain") == "plain"


@pytest.mark.parametrize("unit", list(Unit))
@given(st.lists(parts))
def test_kept_and_brought_back_it_says_the_same(unit, some):
    said = Notice(*some)
    back = notice_from(json.loads(json.dumps(said.plain())))

    assert back == said
    assert back.words(unit) == said.words(unit)
    assert copy.deepcopy(said).words(unit) == said.words(unit)

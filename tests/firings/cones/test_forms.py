"""Cones in forms."""

from decimal import Decimal

import pytest
from django import forms

from firings.cones import series
from firings.cones.forms import ConeField, DecimalConeField


class Form(forms.Form):
    cone = ConeField(required=False)
    reached = DecimalConeField(required=False)


@pytest.mark.parametrize(
    ("typed", "name"), [("6", "6"), ("cone 06", "06"), ("^6", "6"), ("5 1/2", "5½"), ("5,5", "5½")]
)
def test_a_cone_is_typed_as_people_write_it(typed, name):
    form = Form({"cone": typed})

    assert form.is_valid()
    assert series.label_of(form.cleaned_data["cone"]) == name


@pytest.mark.parametrize("typed", ["1222", "cone", "006", "15", "-4"])
def test_what_is_no_cone_is_refused_and_stays_in_the_box(typed):
    form = Form({"cone": typed})

    assert "is not a cone" in form.errors["cone"][0]
    assert f'value="{typed}"' in str(form["cone"])


def test_a_stored_cone_shows_by_its_name_with_the_series_to_choose_from():
    box = str(Form(initial={"cone": 17})["cone"])

    assert 'value="06"' in box
    assert box.count("<option") == 38  # cones of the published table, 022 to 14


@pytest.mark.parametrize(
    ("typed", "number"), [("5.8", "5.80"), ("5,8", "5.80"), ("6", "6"), ("04", "-3"), ("5½", "5.5")]
)
def test_the_controllers_cone_may_have_tenths(typed, number):
    form = Form({"reached": typed})

    assert form.is_valid()
    assert form.cleaned_data["reached"] == Decimal(number)


@pytest.mark.parametrize("typed", ["0.5", "-3.4", "14.5", "1222", "six"])
def test_tenths_below_cone_1_or_beyond_the_series_are_refused(typed):
    assert "is not a cone" in Form({"reached": typed}).errors["reached"][0]


@pytest.mark.parametrize("number", ["5.80", "6", "-3", "5.5", "0"])
def test_the_controllers_cone_shows_as_it_can_be_typed_again(number):
    shown = DecimalConeField().prepare_value(Decimal(number))

    assert Form({"reached": shown}).is_valid()
    assert DecimalConeField().clean(shown) == Decimal(number)

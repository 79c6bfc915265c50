"""A cone in a form: typed as people write it, or chosen from the series."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from firings.cones import series
from firings.units import read_figure


class ConeInput(forms.TextInput):
    """A box to type in, with the series to choose from."""

    template_name = "firings/cones/input.html"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        box = context["widget"]["attrs"]
        list_id = f"{box.get('id', name)}_cones"
        box.update({"list": list_id, "autocomplete": "off", "maxlength": 12})
        return {**context, "list_id": list_id, "cones": [cone.label for cone in series.cones()]}


class ConeField(forms.Field):
    """A cone; its value is the cone's rank in the published series, or None."""

    widget = ConeInput

    def to_python(self, value: Any) -> int | None:
        if value in self.empty_values or not str(value).strip():
            return None
        try:
            return series.order_of(str(value))
        except ValueError as trouble:
            raise ValidationError(f"{trouble}.", code="invalid") from None

    def prepare_value(self, value: Any) -> Any:
        """A stored rank reads as the cone's name; what was typed stays as typed."""
        return series.label_of(value) if isinstance(value, int) else value


class DecimalConeField(forms.Field):
    """A cone with tenths, such as 5.8, or a cone's name; its value is the decimal cone, or None.

    Below cone 1 a decimal could be read two ways, so only names are taken there.
    """

    widget = ConeInput

    def to_python(self, value: Any) -> Decimal | None:
        if value in self.empty_values or not str(value).strip():
            return None
        try:
            return series.of_order(series.order_of(str(value))).number
        except ValueError:
            return _tenths(str(value))

    def prepare_value(self, value: Any) -> Any:
        """A stored figure reads as people write it, and as this field takes it back."""
        return _written(value) if isinstance(value, Decimal) else value


def _tenths(text: str) -> Decimal:
    try:
        number = read_figure(text)
    except ValueError:
        number = Decimal(0)
    if not 1 <= number <= series.cones()[-1].number:
        raise ValidationError(
            f"{text.strip()!r} is not a cone; write a name such as 04 or 6, or tenths between 1 and 14, such as 5.8.",
            code="invalid",
        )
    return number.quantize(Decimal("0.01"))


def _written(number: Decimal) -> str:
    names = {cone.number: cone.label for cone in series.cones()}
    return names.get(number.normalize()) or f"{number.normalize():f}"

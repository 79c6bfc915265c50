"""A cone in a form: typed as people write it, or chosen from the series."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from firings.cones import series


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

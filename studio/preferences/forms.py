"""The studio's preferences as a keeper types them."""

from django import forms
from django.core.exceptions import ValidationError

from studio.models import StudioPreferences
from studio.preferences.address import base_address


class PreferencesForm(forms.ModelForm):
    """Name, address, units and paper of the studio."""

    address = forms.CharField(
        required=False,
        max_length=200,
        help_text="What phones open, such as http://192.168.1.20:8000. Printed codes carry it.",
        widget=forms.TextInput(attrs={"inputmode": "url", "autocapitalize": "none", "spellcheck": "false"}),
    )

    class Meta:
        model = StudioPreferences
        fields = ["studio_name", "address", "temperature_unit", "length_unit", "paper"]
        labels = {
            "studio_name": "Name of the studio",
            "temperature_unit": "Temperatures in",
            "length_unit": "Lengths in",
            "paper": "Paper in the printer",
        }
        widgets = {
            "temperature_unit": forms.RadioSelect,
            "length_unit": forms.RadioSelect,
            "paper": forms.RadioSelect,
        }

    def clean_address(self) -> str:
        written: str = self.cleaned_data["address"]
        try:
            return base_address(written) if written else ""
        except ValueError as refusal:
            raise ValidationError(str(refusal)) from refusal

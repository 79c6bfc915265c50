"""The studio's preferences as a keeper types them."""

from urllib.parse import urlsplit

from django import forms
from django.core.exceptions import ValidationError

from studio.models import StudioPreferences


class PreferencesForm(forms.ModelForm):
    """Name, address, units and paper of the studio."""

    address = forms.URLField(
        required=False,
        assume_scheme="http",
        help_text="What phones open, such as http://192.168.1.20:8000. Printed codes carry it.",
        error_messages={"invalid": "Write it as a browser shows it, such as http://192.168.1.20:8000."},
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
        """Only scheme, host and port: pages put their own path behind it."""
        address = self.cleaned_data["address"].rstrip("/")
        parts = urlsplit(address)
        if address and (parts.scheme not in ("http", "https") or parts.path or parts.query or parts.fragment):
            raise ValidationError(
                "Give the address without what follows it, such as http://192.168.1.20:8000."
            )
        return address

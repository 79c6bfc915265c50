"""What a key is for."""

from django import forms

from studio.models import AccessKey


class KeyForm(forms.ModelForm):
    """A new key."""

    class Meta:
        model = AccessKey
        fields = ["name"]

"""What a person says of a passkey, and what their browser sends for them."""

from typing import Any

from django import forms

from studio.models import Passkey, Person
from studio.people.forms import password_field, present_password

# A passkey that a device made and vouches for is about 1 kB, with a chain of certificates 10.
MOST_CHARACTERS = 60_000


class NameForm(forms.ModelForm):
    """What a person calls a passkey."""

    class Meta:
        model = Passkey
        fields = ["name"]
        labels = {"name": "Where it is"}
        help_texts = {"name": "So that you know it again: my phone, the desk by the window."}


class NewPasskeyForm(NameForm):
    """A new passkey; who has not come in lately types their password first."""

    password = password_field("Your password", "current-password")

    def __init__(self, *args: Any, person: Person, came_in_lately: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        if came_in_lately:
            del self.fields["password"]

    @property
    def asks_password(self) -> bool:
        """Whether it does."""
        return "password" in self.fields

    def clean_password(self) -> str:
        return present_password(self.person, self.cleaned_data["password"])


class AnswerForm(forms.Form):
    """What a device answered, as its browser wrote it down: JSON of Web Authentication Level 3, 5.1."""

    answer = forms.CharField(max_length=MOST_CHARACTERS, strip=False)

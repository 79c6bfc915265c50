"""What people type about themselves and about each other."""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from studio.models import Person
from studio.roles import Role
from studio.vocabulary import Theme

SIGN_IN_NAME_HELP = "What you type to sign in: letters, digits and . - _ without spaces."
TAKEN = "Someone already signs in with this name. Choose another."


def password_field(label: str, autocomplete: str, help_text: str = "") -> forms.CharField:
    """A field for a password, kept as typed: a space at its end is part of it."""
    widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
    return forms.CharField(label=label, strip=False, widget=widget, help_text=help_text, max_length=512)


def present_password(person: Person, typed: str) -> str:
    """What was typed, if it is the person's password. Raises ValidationError."""
    if not person.check_password(typed):
        raise ValidationError("This is not your present password.")
    return typed


class SignInForm(forms.Form):
    """Name and password of someone at the door."""

    username = forms.CharField(
        label="Sign-in name",
        max_length=150,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none", "autofocus": True}
        ),
    )
    password = password_field("Password", "current-password")


class ForgottenForm(forms.Form):
    """Who wants to choose a new password."""

    said = forms.CharField(
        label="Sign-in name or mail address",
        max_length=254,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none", "autofocus": True}
        ),
    )


class PasswordForm(forms.Form):
    """A new password, typed twice."""

    password = password_field(
        "New password", "new-password", "At least 10 characters; a few words make a good one."
    )
    again = password_field("The same again", "new-password")

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        self.person = person
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "password" in cleaned and "again" in cleaned and cleaned["password"] != cleaned["again"]:
            self.add_error("again", "The two passwords differ. Type the same one twice.")
        return cleaned

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        validate_password(password, self.person)
        return password


class ChangePasswordForm(PasswordForm):
    """A new password for someone who is signed in; who has one already types it first."""

    current = password_field("Present password", "current-password")
    field_order = ["current", "password", "again"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not self.person.has_usable_password():
            del self.fields["current"]

    def clean_current(self) -> str:
        return present_password(self.person, self.cleaned_data["current"])


class AcceptInvitationForm(PasswordForm):
    """How someone who was invited wants to be called, and their password."""

    name = forms.CharField(label="Your name", max_length=120, help_text="As others in the studio read it.")
    username = forms.CharField(
        label="Sign-in name",
        max_length=150,
        help_text=SIGN_IN_NAME_HELP,
        validators=[Person.username_validator],
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
        error_messages={"invalid": "Letters, digits and . - _ + @ only, without spaces."},
    )
    field_order = ["name", "username", "password", "again"]

    def clean_username(self) -> str:
        username: str = self.cleaned_data["username"]
        if Person.objects.filter(username__iexact=username).exclude(pk=self.person.pk).exists():
            raise ValidationError(TAKEN)
        return username


class AccountForm(forms.ModelForm):
    """What a person sets for themselves, and for the browser they use."""

    theme = forms.ChoiceField(
        label="This browser shows pages", choices=Theme.choices, widget=forms.RadioSelect
    )

    class Meta:
        model = Person
        fields = ["name", "email"]
        labels = {"name": "Your name", "email": "Mail address"}
        help_texts = {
            "name": "As others in the studio read it.",
            "email": "Only for a link to a new password, if you forget yours. Nobody else reads it.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not settings.MAIL_IS_ON:
            del self.fields["email"]


class AddPersonForm(forms.Form):
    """Someone new, and what they may do."""

    name = forms.CharField(max_length=120, help_text="They can change it when they come in.")
    role = forms.ChoiceField(choices=Role.choices, initial=Role.RECORDER.value, widget=forms.RadioSelect)

    def clean_role(self) -> Role:
        return Role(self.cleaned_data["role"])


class PersonForm(AddPersonForm):
    """What a keeper decides about someone."""

    name = forms.CharField(max_length=120, help_text="As others in the studio read it.")
    may_sign_in = forms.BooleanField(
        label="May sign in",
        required=False,
        help_text="Without it, everything they recorded stays under their name.",
    )

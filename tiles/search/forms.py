"""What a search's parameters may say: any number of values, each read by the trade's own readers."""

from collections.abc import Callable, Sequence
from copy import copy
from typing import Any, Self

from django import forms
from django.core.exceptions import ValidationError

from firings.vocabulary import Term

# More choices than these in one group are no question a person asks.
MOST_VALUES = 60


class ValuesField(forms.Field):
    """All values of one parameter, each read by `read`, which raises ValueError in a form's words."""

    widget = forms.MultipleHiddenInput

    def __init__(self, *, read: Callable[[str], Any], **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.read = read

    def __deepcopy__(self, memo: dict[int, Any]) -> Self:
        """Each form has its own fields; all they hold of a search is what its form was given."""
        return copy(self)

    def clean(self, value: Sequence[str] | None) -> list[Any]:
        """The values read, empty ones passed over."""
        typed = [text.strip() for text in value or () if text.strip()]
        if len(typed) > MOST_VALUES:
            raise ValidationError(f"Choose at most {MOST_VALUES}.")
        try:
            return [self.read(text) for text in typed]
        except ValueError as problem:
            raise ValidationError(f"{str(problem).rstrip('.')}.") from problem


class ReadField(forms.CharField):
    """One value, read by `read`, which raises ValueError in a form's words."""

    def __init__(self, *, read: Callable[[str], Any], **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.read = read

    def clean(self, value: str | None) -> Any:
        """The value read; None where nothing was said."""
        typed = super().clean(value)
        try:
            return self.read(typed) if typed else None
        except ValueError as problem:
            raise ValidationError(f"{str(problem).rstrip('.')}.") from problem


def key(text: str) -> int:
    """A record's key in an address."""
    if not text.isascii() or not text.isdigit() or len(text) > 15:
        raise ValueError(f"{text!r} is none of the choices")
    return int(text)


def one_of(terms: type[Term], *more: str) -> Callable[[str], str]:
    """A reader of a closed list, and of `more` words beside it."""
    return word_of(*terms.values(), *more)


def word_of(*words: str) -> Callable[[str], str]:
    """A reader that takes these words alone."""

    def read(text: str) -> str:
        if text not in words:
            raise ValueError(f"{text!r} is none of the choices")
        return text

    return read

"""The words of every refusal that no form words for itself, in one table.

They must be in place before the first form or model is read, since each keeps a copy of its kind's words: so
`studio/apps.py` puts them there as it is imported. A field that knows better says so by its own `error_messages`.
"""

from django import forms
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core import validators
from django.db import models
from django.forms.formsets import BaseFormSet

NOT_LISTED = "That is not on the list. Choose one that is."
DAY, TIME = "2026-10-14", "16:30"

WORDS: dict[type, dict[str, str]] = {
    forms.Field: {"required": "Fill this in."},
    forms.BooleanField: {"required": "Tick this first."},
    forms.IntegerField: {"invalid": "Write a whole number, such as 12."},
    forms.FloatField: {"invalid": "Write a figure, such as 1.5."},
    forms.DecimalField: {"invalid": "Write a figure, such as 1.5."},
    forms.DateField: {"invalid": f"Write the day as {DAY}."},
    forms.TimeField: {"invalid": f"Write the time as {TIME}."},
    forms.DateTimeField: {"invalid": f"Write day and time as {DAY} {TIME}."},
    forms.ChoiceField: {
        "required": "Choose one.",
        "invalid_choice": "“%(value)s” is not on the list. Choose one that is.",
    },
    forms.MultipleChoiceField: {
        "required": "Choose one or more.",
        "invalid_choice": "“%(value)s” is not on the list. Choose from what is.",
        "invalid_list": "Choose from the list.",
    },
    forms.ModelChoiceField: {"required": "Choose one.", "invalid_choice": NOT_LISTED},
    forms.ModelMultipleChoiceField: {
        "required": "Choose one or more.",
        "invalid_choice": NOT_LISTED,
        "invalid_list": "Choose from the list.",
        "invalid_pk_value": NOT_LISTED,
    },
    forms.FileField: {
        "required": "Choose a file first.",
        "invalid": "The file did not arrive. Choose it again.",
        "missing": "The file did not arrive. Choose it again.",
        "empty": "This file is empty. Choose another.",
        "max_length": "This file’s name is %(length)d characters long. Shorten it to %(max)d.",
        "contradiction": "Either choose a file or tick to take the old one away, not both.",
    },
    BaseFormSet: {
        "missing_management_form": "Part of this page did not arrive. Open it again and type the rest once more.",
        "too_many_forms": "Keep at most %(num)d rows here.",
        "too_few_forms": "Fill in at least %(num)d rows here.",
    },
    models.Field: {
        "invalid_choice": "“%(value)s” is not on the list. Choose one that is.",
        "null": "Fill this in.",
        "blank": "Fill this in.",
        "unique": "There is one with this %(field_label)s already. Give this one another.",
    },
}

VALIDATORS: dict[type, str] = {
    validators.MinValueValidator: "Write a figure of at least %(limit_value)s.",
    validators.MaxValueValidator: "Write a figure of at most %(limit_value)s.",
    validators.MinLengthValidator: "Write at least %(limit_value)d characters; there are %(show_value)d.",
    validators.MaxLengthValidator: "Write at most %(limit_value)d characters; there are %(show_value)d.",
    validators.EmailValidator: "Write a mail address, such as rowan@example.org.",
    validators.ProhibitNullCharactersValidator: "A character here cannot be kept. Type it by hand, do not paste it.",
    UnicodeUsernameValidator: "Letters, digits and . - _ + @ only, without spaces.",
}

DIGITS = {
    "invalid": "Write a figure, such as 1.5.",
    "max_digits": "Write at most %(max)s digits.",
    "max_decimal_places": "Write at most %(max)s digits after the point.",
    "max_whole_digits": "Write at most %(max)s digits before the point.",
}

# Where a rule of the table has no words of its own: its name says which it is.
RULE = "These answers do not go together (%(name)s). Change one of them."


def speak_plainly() -> None:
    """Put these words where the framework keeps its own."""
    for kind, words in WORDS.items():
        # A kind without words of its own shares its parent's, which must stay as they are.
        kind.default_error_messages = {**vars(kind).get("default_error_messages", {}), **words}  # type: ignore[attr-defined]
    for validator, message in VALIDATORS.items():
        validator.message = message  # type: ignore[attr-defined]
    validators.DecimalValidator.messages.update(DIGITS)
    models.BaseConstraint.default_violation_error_message = RULE

"""No form of the studio speaks the framework's words: each refusal says what to do."""

import inspect
import pkgutil
import re
from collections.abc import Iterator
from importlib import import_module

import pytest
from django import forms
from django.db import models
from django.urls import reverse

import firings
import studio
import tiles

# How the framework's own messages begin or go on, in version 5.2.
STOCK = re.compile(
    r"This field|Enter a |Select a valid|valid choice|Ensure |is not a valid|No file was|submitted"
    r"|already exists|is violated|Null characters|ManagementForm"
)


def product_forms() -> Iterator[type[forms.BaseForm]]:
    """Every form that a module of the studio defines."""
    for floor in (firings, tiles, studio):
        for module in pkgutil.walk_packages(floor.__path__, f"{floor.__name__}."):
            if module.name.rsplit(".", 1)[-1] == "forms":
                for _, kind in inspect.getmembers(import_module(module.name), inspect.isclass):
                    if issubclass(kind, forms.BaseForm) and kind.__module__ == module.name:
                        yield kind


def messages_of(field: forms.Field) -> Iterator[str]:
    yield from map(str, field.error_messages.values())
    for validator in field.validators:
        yield str(getattr(validator, "message", ""))
        yield from map(str, getattr(validator, "messages", {}).values())


def test_every_refusal_of_every_form_is_in_the_studio_s_words():
    found = list(product_forms())
    stock = {
        (form.__name__, name, message)
        for form in found
        for name, field in form.base_fields.items()
        for message in messages_of(field)
        if STOCK.search(message)
    }

    assert len(found) > 30
    assert stock == set()


def test_what_the_database_forbids_is_told_in_the_studio_s_words():
    rules = [
        rule
        for model in (*firings_models(), *tiles_models())
        for rule in model._meta.constraints
        if not isinstance(rule, models.UniqueConstraint)
    ]

    assert rules
    assert not [rule.name for rule in rules if STOCK.search(rule.get_violation_error_message())]


def firings_models() -> list[type[models.Model]]:
    return [kind for _, kind in inspect.getmembers(import_module("firings.models"), _is_model)]


def tiles_models() -> list[type[models.Model]]:
    return [kind for _, kind in inspect.getmembers(import_module("tiles.models"), _is_model)]


def _is_model(kind: object) -> bool:
    return inspect.isclass(kind) and issubclass(kind, models.Model)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"name": ""}, "Fill this in."),
        ({"name": "Harbour", "kind": "paint"}, "“paint” is not on the list. Choose one that is."),
        ({"name": "H" * 500}, "characters; there are 500."),
    ],
)
def test_a_glaze_that_is_refused_says_what_to_do(recorder_client, typed, words):
    page = recorder_client.post(reverse("tiles:catalogue:new_glaze"), typed)

    assert page.status_code == 422
    assert words in page.content.decode()


def test_a_field_that_knows_better_keeps_its_own_words():
    class Shelf(forms.Form):
        shelf = forms.IntegerField(error_messages={"required": "Say which shelf it is."})

    assert Shelf({}).errors["shelf"] == ["Say which shelf it is."]

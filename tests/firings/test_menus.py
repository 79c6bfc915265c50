"""Menus and boxes are written in one go, and read as the framework's own templates write them."""

from django import forms
from django.forms.renderers import TemplatesSetting
from django.test.html import parse_html

from firings.forms import NamesMenu, Renderer

CHOICES = [
    ("", "none"),
    (1, "Dune <speckled>"),
    ('2"', "Quay & white"),
    ("Others", [(3, "Peat"), (None, "not said")]),
]


def test_a_menu_reads_as_by_templates():
    for widget, value in (
        (forms.Select(attrs={"data-kind": "body", "disabled": True, "required": False}), 1),
        (forms.Select(), '2"'),
        (forms.SelectMultiple(), [1, 3]),
        (forms.NullBooleanSelect(), True),
    ):
        if not isinstance(widget, forms.NullBooleanSelect):
            widget.choices = CHOICES
        ours, theirs = (
            widget.render("body", value, {"id": 'id"body'}, renderer=renderer)
            for renderer in (Renderer(), TemplatesSetting())
        )
        assert parse_html(ours) == parse_html(theirs)
        assert "<speckled>" not in ours


def test_a_menu_of_names_reads_as_by_templates():
    names = [choice for choice in CHOICES if not isinstance(choice[1], list)]
    for value in (None, "", 1, "1", '2"', "gone"):
        ours, theirs = (
            widget.render("body", value, {"id": 'id"body', "required": True}, renderer=renderer)
            for widget, renderer in (
                (NamesMenu({"data-kind": "body"}, names), Renderer()),
                (forms.Select({"data-kind": "body"}, names), TemplatesSetting()),
            )
        )
        assert parse_html(ours) == parse_html(theirs)
        assert "<speckled>" not in ours


def test_a_box_reads_as_by_templates():
    for widget in (
        forms.TextInput({"data-kind": "bo<dy", "disabled": True, "required": False}),
        forms.NumberInput({"min": 0, "step": "any"}),
        forms.HiddenInput(),
        forms.CheckboxInput({"class": "tick"}),
    ):
        for value in (None, "", 0, 12, 'Dune "<speckled>" & white', True, False):
            ours, theirs = (
                widget.render("body", value, {"id": 'id"body'}, renderer=renderer)
                for renderer in (Renderer(), TemplatesSetting())
            )
            assert parse_html(ours) == parse_html(theirs)
            assert "<speckled>" not in ours

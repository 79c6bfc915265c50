"""Form fields and forms that every floor shares."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from html import escape
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.forms.models import ModelChoiceIterator
from django.forms.renderers import TemplatesSetting
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe

from firings.keys import is_key
from firings.models import Kept
from firings.units import read_figure


class FigureField(forms.DecimalField):
    """A figure typed with a decimal comma or point, or with the unit its label gives; a phone shows figure keys."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}))
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str) and value.strip():
            try:
                return read_figure(self._without_unit(value))
            except ValueError as trouble:
                raise ValidationError(str(trouble), code="invalid") from None
        return super().to_python(value)

    def _without_unit(self, typed: str) -> str:
        """The figure alone, where the unit behind the label's last comma is typed with it: 3% of "Absorption, %"."""
        _, comma, unit = str(self.label or "").rpartition(", ")
        return typed.strip().removesuffix(unit) if comma else typed

    def prepare_value(self, value: Any) -> Any:
        """What stands in the box: 1.5, not 1.500."""
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value


class RecordsField(forms.ModelMultipleChoiceField):
    """Records ticked in a list, told by whole numbers that a database can hold."""

    def clean(self, value: Any) -> Any:
        for told in value or ():
            if not is_key(str(told)):
                raise ValidationError(
                    self.error_messages["invalid_choice"], code="invalid_choice", params={"value": told}
                )
        return super().clean(value)


class NamesIterator(ModelChoiceIterator):
    """Records as choices by their names, without reading the rest of them."""

    def __iter__(self) -> Iterator[tuple[Any, Any]]:
        if self.field.empty_label is not None:
            yield "", self.field.empty_label
        yield from self.queryset.values_list("pk", "name")


class NamesMenu(forms.Select):
    """A menu of very many names, without groups, for the renderer below.

    For 700 names the framework makes 700 small dictionaries first, and takes ten times as long.
    """

    def optgroups(self, name: str, value: list[str], attrs: dict[str, Any] | None = None) -> list[Any]:
        """None: the options are written where they are rendered."""
        return []

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """The framework's, with the options as they stand in the page."""
        context = super().get_context(name, value, attrs)
        chosen = set(context["widget"]["value"])
        context["widget"]["options"] = "".join(
            f'\n<option value="{escape(key)}"{" selected" if key in chosen else ""}>{escape(words)}</option>'
            for key, words in ((str(key), str(words)) for key, words in self.choices)
        )
        return context


class NamesField(forms.ModelChoiceField):
    """One of very many records, chosen by its name."""

    iterator = NamesIterator
    widget = NamesMenu


# What the framework writes by one template, one line of a page.
BOXES = frozenset(
    widget.template_name
    for widget in (forms.TextInput, forms.NumberInput, forms.HiddenInput, forms.CheckboxInput)
)


class Renderer(TemplatesSetting):
    """Writes menus and boxes to type in without templates: by these, 1,000 options take 100 ms, 60 boxes 7."""

    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        if template_name in BOXES:
            return _box(context["widget"])
        if template_name != forms.Select.template_name:
            return super().render(template_name, context, request)
        widget = context["widget"]
        groups = widget.get("options") or "".join(
            _group(name, "".join(map(_option, options))) for name, options, _ in widget["optgroups"]
        )
        return mark_safe(  # nosec B308, B703 # each piece is escaped
            f'<select name="{conditional_escape(widget["name"])}"{_attributes(widget["attrs"])}>{groups}\n</select>'
        )


def _box(widget: Mapping[str, Any]) -> SafeString:
    value = {} if widget["value"] is None else {"value": widget["value"]}
    attributes = {"type": widget["type"], "name": widget["name"]}
    return mark_safe(  # nosec B308, B703 # each piece is escaped
        f"<input{_attributes(attributes | value)}{_attributes(widget['attrs'])}>"
    )


def _group(name: Any, options: str) -> str:
    return f'\n<optgroup label="{conditional_escape(name)}">{options}\n</optgroup>' if name else options


def _option(option: Mapping[str, Any]) -> str:
    value, words = conditional_escape(option["value"]), conditional_escape(option["label"])
    return f'\n<option value="{value}"{_attributes(option["attrs"])}>{words}</option>'


def _attributes(attributes: Mapping[str, Any]) -> str:
    return "".join(
        f" {name}" if value is True else f' {name}="{conditional_escape(value)}"'
        for name, value in attributes.items()
        if value is not False
    )


def read_typed(reader: Callable[..., Any], text: str, *bounds: Any) -> Any:
    """What a reader of the trade makes of a field's text; its ValueError is the field's error."""
    try:
        return reader(text, *bounds)
    except ValueError as wrong:
        raise ValidationError(str(wrong)) from None


@dataclass(frozen=True, slots=True)
class Difference:
    """A field on which two versions of a record differ, both as a person reads them."""

    label: str
    typed: str
    standing: str


def _named_so(other: Kept) -> str:
    """Why a name cannot be taken, with the way to the record that bears it."""
    if not hasattr(other, "get_absolute_url"):
        return "There is one of this name already. Give this one another name."
    words = (
        'There is one of this name already: <a href="{}" target="_blank">{}</a>. Give this one another name.'
    )
    return format_html(words, other.get_absolute_url(), other)


class KeptForm(forms.ModelForm):
    """A form of a kept record. Editing one carries the stamp it was opened with, against silent overwrites.

    `once` names the fields that, together, no other record in use may repeat; letters' case does not count.
    `stays` names the fields that begin as they stand on the record `like`, for records written one after the other.
    The view hands `form.stamp` to its service, which claims the record; on StaleEdit it answers with
    `firings.http.conflict(request, form, stale.current, back=…)`.
    """

    instance: Kept
    once: tuple[str, ...] = ()
    stays: tuple[str, ...] = ()

    def __init__(self, *args: Any, like: Kept | None = None, **kwargs: Any) -> None:
        if like is not None:
            stays = {name: getattr(like, name) for name in self.stays}
            kwargs["initial"] = {**(kwargs.get("initial") or {}), **stays}
        super().__init__(*args, **kwargs)
        if like is not None:
            first = next(name for name in self.fields if name not in self.stays)
            self.fields[first].widget.attrs["autofocus"] = True
        if self.instance.pk:
            self.fields["stamp"] = forms.IntegerField(widget=forms.HiddenInput, initial=self.instance.stamp)

    @property
    def stamp(self) -> int:
        """The stamp of the version that was on the screen; only of a valid form that edits."""
        return int(self.cleaned_data["stamp"])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        is_whole = self.once and all(cleaned.get(name) for name in self.once)
        if is_whole and (other := self._others_like(cleaned).first()):
            self.add_error(self.once[-1], _named_so(other))
        return cleaned

    def _others_like(self, cleaned: dict[str, Any]) -> models.QuerySet[Any]:
        asked = {
            f"{name}__iexact" if isinstance(cleaned[name], str) else name: cleaned[name] for name in self.once
        }
        return type(self.instance).objects.filter(**asked).exclude(pk=self.instance.pk)  # type: ignore[attr-defined]

    def differences(self, current: Kept) -> Iterator[Difference]:
        """Where what was typed differs from what stands there now."""
        for name, field in self.fields.items():
            if isinstance(field.widget, forms.HiddenInput) or not hasattr(current, name):
                continue
            typed = _words(field, self.cleaned_data.get(name))
            standing = _words(field, getattr(current, name))
            if typed != standing:
                yield Difference(str(self[name].label), typed, standing)


def _words(field: forms.Field, value: Any) -> str:
    """A value as a person reads it."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, models.Model):
        return str(value)
    label = dict(getattr(field, "choices", ())).get(value)
    return str(label or field.widget.format_value(field.prepare_value(value)))

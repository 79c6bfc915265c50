"""Naming a search."""

from typing import Any

from django import forms
from django.db import models

from firings.forms import KeptForm
from tiles.models import SavedSearch


class SavedSearchForm(KeptForm):
    """A search's name, and whether the others see it. A name is one's own: two people may use the same."""

    once = ("name",)

    class Meta:
        model = SavedSearch
        fields = ("name", "shared")
        widgets = {"name": forms.TextInput(attrs={"autocomplete": "off", "autofocus": True})}
        help_texts = {"shared": "Otherwise only you see it."}

    def _others_like(self, cleaned: dict[str, Any]) -> models.QuerySet[Any]:
        return super()._others_like(cleaned).filter(owner=self.instance.owner_id)  # type: ignore[attr-defined]

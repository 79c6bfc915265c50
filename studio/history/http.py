"""Records named in an address, and the pages they have."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from firings.models import Kept, User
from studio.history.queries import kept_model, may


def record_for(user: User, action: str, app_label: str, model: str, pk: int) -> Kept:
    """The record an address names, from the bin too, if this person may do that with its kind."""
    kind = kept_model(app_label, model)
    if kind is None:
        raise Http404("There is no such kind of record.")
    if not may(user, action, kind):
        raise PermissionDenied
    record: Kept = get_object_or_404(kind._base_manager.filter(kind.open_to(user)), pk=pk)
    if action != "view" and not kind._base_manager.filter(kind.changeable_by(user), pk=pk).exists():
        raise PermissionDenied
    return record


def written_by(user: User, app_label: str, model: str, versions: Sequence[int]) -> dict[int, Kept]:
    """The records that versions of these keys belong to, each once, if this person may change all of them."""
    kind: Any = kept_model(app_label, model)
    if kind is None:
        raise Http404("There is no such kind of record.")
    owners = dict(kind.history.filter(history_id__in=versions).values_list("id", "history_id"))
    return {
        version: record_for(user, "change", app_label, model, pk)
        for pk, version in owners.items()
        if kind._base_manager.filter(pk=pk).exists()
    }


def page_of(record: Kept) -> str:
    """The record's own page, the history where it has none."""
    if hasattr(record, "get_absolute_url"):
        return str(record.get_absolute_url())
    return reverse("history:changes", args=[record._meta.app_label, record._meta.model_name, record.pk])

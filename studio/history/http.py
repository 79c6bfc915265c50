"""Records named in an address, and where a person goes on after a change."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from firings.models import Kept, User
from studio.history.queries import kept_model, may


def record_for(user: User, action: str, app_label: str, model: str, pk: int) -> Kept:
    """The record an address names, from the bin too, if this person may do that with its kind."""
    kind = kept_model(app_label, model)
    if kind is None:
        raise Http404("There is no such kind of record.")
    if not may(user, action, kind):
        raise PermissionDenied
    record: Kept = get_object_or_404(kind._base_manager, pk=pk)
    return record


def way_on(request: HttpRequest, otherwise: str) -> str:
    """Where the form or the address says to go on, if that is a page of ours."""
    asked = request.POST.get("next") or request.GET.get("next") or ""
    is_ours = url_has_allowed_host_and_scheme(asked, {request.get_host()}, require_https=request.is_secure())
    return asked if asked and is_ours else otherwise


def page_of(record: Kept) -> str:
    """The record's own page, the history where it has none."""
    if hasattr(record, "get_absolute_url"):
        return str(record.get_absolute_url())
    return reverse("history:changes", args=[record._meta.app_label, record._meta.model_name, record.pk])

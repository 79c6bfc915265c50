"""The keeper's page of preferences."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from firings.http import say, typed_in
from firings.models import ChangedMeanwhile
from studio.http import PersonRequest
from studio.models import StudioPreferences
from studio.preferences.address import address_with_port
from studio.preferences.forms import PreferencesForm
from studio.preferences.services import put_back, standing_version


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("studio.change_studiopreferences", raise_exception=True)
def edit(request: PersonRequest) -> HttpResponse:
    """Show and change how this studio likes things written."""
    kept = StudioPreferences.objects.filter(pk=StudioPreferences.ROW).first()
    form = PreferencesForm(typed_in(request), instance=kept)
    if request.method == "POST" and form.is_valid():
        before = standing_version()
        form.save()
        undo_url = reverse("preferences:undo", args=[before, standing_version()])
        say(request, "The studio’s preferences are changed.", undo_url=undo_url)
        return redirect("preferences:edit")
    here = address_with_port(kept.address if kept else "", request.get_host())
    page = {"form": form, "address_with_port": here}
    return render(request, "studio/preferences/edit.html", page, status=422 if form.is_bound else 200)


@require_POST
@login_required
@permission_required("studio.change_studiopreferences", raise_exception=True)
def undo(request: PersonRequest, before: int, mark: int) -> HttpResponse:
    """Take the last change back; that itself is undone from the message."""
    try:
        put_back(before, mark)
    except ChangedMeanwhile:
        messages.error(request, "The preferences were changed again since. Nothing was put back.")
    else:
        again = reverse("preferences:undo", args=[mark, standing_version()])
        say(request, "The studio’s preferences stand as they did.", undo_url=again)
    return redirect("preferences:edit")

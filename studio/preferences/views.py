"""The keeper's page of preferences."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from firings.http import say
from studio.http import PersonRequest
from studio.models import StudioPreferences
from studio.preferences.forms import PreferencesForm


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("studio.change_studiopreferences", raise_exception=True)
def edit(request: PersonRequest) -> HttpResponse:
    """Show and change how this studio likes things written."""
    kept = StudioPreferences.objects.filter(pk=StudioPreferences.ROW).first()
    form = PreferencesForm(request.POST or None, instance=kept)
    if request.method == "POST" and form.is_valid():
        form.save()
        say(request, "The studio’s preferences are changed.")
        return redirect("preferences:edit")
    return render(
        request, "studio/preferences/edit.html", {"form": form}, status=422 if form.is_bound else 200
    )

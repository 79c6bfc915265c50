"""The results page."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_safe
from django_htmx.http import push_url

from firings.http import StudioRequest
from tiles.answers.queries import asks_about_a_glaze
from tiles.saved.queries import saved_for
from tiles.search import address
from tiles.search.groups import NAMES_IN_ADDRESS, Sort, View
from tiles.search.queries import results_page

CHOICES = {
    "sorts": Sort.choices(),
    "views": View.choices(),
}


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def results(request: StudioRequest) -> HttpResponse:
    """Results of what the address asks; a form that sent empty fields is sent on to the plain address."""
    typed = request.GET.urlencode()
    pairs = address.read(typed, NAMES_IN_ADDRESS)
    is_fragment = bool(request.htmx) and not request.htmx.history_restore_request
    plain = f"{request.path}?{address.write(pairs)}" if pairs else request.path
    if not is_fragment and address.has_empty(typed):
        return redirect(plain)
    shown = results_page(pairs, request.GET.get("page", "1"), request.preferences.length_unit)
    template = "tiles/search/_found.html" if is_fragment else "tiles/search/results.html"
    page = {"shown": shown, "is_question": asks_about_a_glaze(shown.typed_words), **CHOICES}
    if not is_fragment:
        page["saved"] = saved_for(request.user)
    answer = render(request, template, page, status=422 if shown.problems else 200)
    patch_vary_headers(answer, ["HX-Request"])
    return push_url(answer, plain) if is_fragment else answer

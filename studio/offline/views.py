"""The script that keeps pages on the phone."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@never_cache
@require_safe
def keeper(request: HttpRequest) -> HttpResponse:
    """The service worker. Open to all: it holds nothing of the studio's, and must be there after signing out too."""
    return render(request, "studio/offline/keeper.js", content_type="text/javascript")

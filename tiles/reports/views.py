"""The report of one firing as a PDF."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from firings.models import Firing
from tiles.prints.paper import laid_page, print_pages
from tiles.reports.queries import layouts_of


@require_safe
@login_required
@permission_required("firings.view_firing", raise_exception=True)
def firing(request: StudioRequest, firing_number: int) -> HttpResponse:
    """The firing as it is printed."""
    shown = get_object_or_404(Firing.objects.for_lists(), number=firing_number)
    pages = [laid_page(layout) for layout in layouts_of(shown, request.preferences)]
    printed = print_pages(pages, title=f"Firing {shown.label}", author=request.preferences.studio_name)
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{shown.label}-report.pdf"'
    return answer

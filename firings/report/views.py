"""The report of one firing."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from firings.curves.http import unit_of
from firings.http import StudioRequest
from firings.models import Firing
from firings.report.queries import report_of
from firings.report.sheet import report_pdf


@require_safe
@login_required
@permission_required("firings.view_firing", raise_exception=True)
def report(request: StudioRequest, number: int) -> HttpResponse:
    """The firing as a PDF."""
    firing = get_object_or_404(Firing.objects.for_lists(), number=number)
    content = report_pdf(report_of(firing, unit_of(request)), request.preferences.paper)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{firing.label}-report.pdf"'
    return answer

"""The keeper's page of the work nobody waits for: who does it, what waits, what failed and why."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from firings.http import say
from studio.http import PersonRequest
from studio.serving.services import prompt_here
from studio.work import queries, services


@require_safe
@login_required
@permission_required("studio.view_worker", raise_exception=True)
def work(request: PersonRequest) -> HttpResponse:
    """Who works, what waits, what failed."""
    page = {"state": queries.work_state(), "workers": queries.alive(), "failures": queries.failures()}
    page["prompt"] = prompt_here().manage("worker")
    return render(request, "studio/work/work.html", page)


@require_POST
@login_required
@permission_required("studio.change_worker", raise_exception=True)
def try_again(request: PersonRequest, work_id: str) -> HttpResponse:
    """Have one piece of work done that failed before."""
    services.try_again_now(get_object_or_404(queries.failed(), pk=work_id))
    say(request, "It is tried again now.")
    return redirect("work:work")


@require_POST
@login_required
@permission_required("studio.change_worker", raise_exception=True)
def try_all_again(request: PersonRequest) -> HttpResponse:
    """Have everything done that failed before."""
    for failed in queries.failed():
        services.try_again_now(failed)
    say(request, "All of it is tried again now.")
    return redirect("work:work")

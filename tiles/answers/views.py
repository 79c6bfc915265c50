"""A question and its answer; the address is the question."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from tiles.answers.forms import QuestionForm
from tiles.answers.queries import answer_to


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def answer(request: StudioRequest) -> HttpResponse:
    """What a glaze does under the conditions asked for, and how sure that is."""
    form = QuestionForm(request.GET if request.GET else None)
    if not form.is_valid():
        return render(
            request, "tiles/answers/answer.html", {"form": form}, status=422 if form.is_bound else 200
        )
    found = answer_to(form.cleaned_data["glaze"], form.asked(), request.preferences.length_unit)
    return render(request, "tiles/answers/answer.html", {"form": form, "answer": found})

"""A question and its answer; the address is the question."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from tiles.answers.forms import QuestionForm
from tiles.answers.queries import answer_to, stack_words_of, tries_behind
from tiles.evidence.queries import results_listed


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


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def runs(request: StudioRequest) -> HttpResponse:
    """The tiles behind the chance that what was asked for runs off."""
    form = QuestionForm(request.GET)
    if not form.is_valid():
        return render(request, "tiles/answers/answer.html", {"form": form}, status=422)
    glaze, asked = form.cleaned_data["glaze"], form.asked()
    keys = tries_behind(glaze, asked)
    if not keys:
        raise Http404("No judged tile has that stack at that cone.")
    question = request.GET.copy()
    question.pop("page", None)
    shown = {
        "words": stack_words_of(glaze, asked),
        "back": f"{reverse('tiles:answers:answer')}?{question.urlencode()}",
        "shown": results_listed(keys, request.GET.get("page", ""), request.preferences.length_unit),
    }
    return render(request, "tiles/evidence/tries.html", shown)

"""A question and its answer; the address is the question."""

from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from firings.http import StudioRequest
from tiles.answers.forms import QuestionForm
from tiles.answers.heard import SAID, TYPED, heard, query_of
from tiles.answers.queries import answer_to, names_now, stack_words_of, tries_behind
from tiles.answers.typed import MOST_TYPED, read_question
from tiles.evidence.queries import results_listed


@require_safe
@login_required
@permission_required("tiles.view_outcome", raise_exception=True)
def answer(request: StudioRequest) -> HttpResponse:
    """What a glaze does under the conditions asked for, and how sure that is."""
    said = {name: value for name in request.GET if (value := request.GET.get(name, "").strip())}
    if TYPED in said:
        return _typed(request, said[TYPED][:MOST_TYPED], _conditions(said))
    form = QuestionForm(request.GET if said else None)
    if not form.is_valid():
        return render(
            request, "tiles/answers/answer.html", {"form": form}, status=422 if form.is_bound else 200
        )
    found = answer_to(form.cleaned_data["glaze"], form.asked(), request.preferences.length_unit)
    page = {"form": form, "answer": found, "typed": found.question}
    if words := said.get(SAID, "")[:MOST_TYPED]:
        page["heard"] = heard(read_question(words, names_now()), words, _conditions(said))
    return render(request, "tiles/answers/answer.html", page)


def _conditions(said: dict[str, str]) -> dict[str, str]:
    return {name: value for name, value in said.items() if name in QuestionForm.base_fields}


def _typed(request: StudioRequest, typed: str, beside: dict[str, str]) -> HttpResponse:
    """On to the answer that words ask for; where they name no glaze, what was understood and what is missing."""
    understood = read_question(typed, names_now())
    asked = {**beside, **understood.asked}
    if "glaze" in asked:
        return redirect(f"{request.path}?{query_of(understood, typed, beside)}")
    page = {
        "form": QuestionForm(initial=asked),
        "typed": typed,
        "heard": heard(understood, typed, asked),
        "lacks_glaze": True,
    }
    return render(request, "tiles/answers/answer.html", page, status=422)


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

"""Label stock: the list, the live drawing beside its numbers, and a person's part-used sheet."""

from collections.abc import Iterator
from typing import Any

from django.contrib.auth.decorators import login_required, permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from firings.http import StudioRequest, say, way_on
from tiles.prints import queries
from tiles.prints.forms import LabelStockForm
from tiles.prints.picture import sheet_of_stock, used_picture
from tiles.prints.queries import StockChoice
from tiles.prints.tray.services import keep_used


@require_safe
@login_required
@permission_required("tiles.view_labelstock", raise_exception=True)
def stocks(request: StudioRequest) -> HttpResponse:
    """The studio's own stock, and the sizes sold everywhere, each drawn to scale."""
    drawn = [(choice, sheet_of_stock(choice.stock)) for choice in queries.stock_choices()]
    page = {
        "own": [pair for pair in drawn if pair[0].saved],
        "known": [pair for pair in drawn if not pair[0].saved],
    }
    return render(request, "tiles/prints/stocks/stocks.html", page)


@require_safe
@login_required
@permission_required("tiles.view_labelstock", raise_exception=True)
def drawing(request: StudioRequest) -> HttpResponse:
    """What the numbers typed so far look like, or why they cannot be."""
    typed = request.GET.copy()
    typed["name"] = typed.get("name") or "not named yet"
    form = LabelStockForm(typed)
    form.once = ()  # type: ignore[assignment]
    is_right = form.is_valid()
    page = {
        "sheet": sheet_of_stock(form.described) if is_right else None,
        "stock": form.described if is_right else None,
        "troubles": [] if is_right else list(_amiss(form)),
    }
    return render(request, "tiles/prints/stocks/_drawing.html", page)


def _amiss(form: LabelStockForm) -> Iterator[tuple[Any, list[str]]]:
    """Labels of fields and what is wrong with them; what is not typed yet is not wrong."""
    for name, errors in form.errors.items():
        wrong = [str(error.messages[0]) for error in errors.as_data() if error.code != "required"]
        if wrong and name in form.fields:
            yield form.fields[name].label, wrong


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.view_labelstock", raise_exception=True)
def used_sheet(request: StudioRequest, key: str) -> HttpResponse:
    """Which labels are gone from the person's sheet: all before the first free one, or single ones."""
    choice = _choice(key)
    if request.method == "POST":
        keep_used(request.user, key, _gone(request, choice))
        if not request.htmx:
            say(request, f"The sheet of {choice.stock.name} is kept in mind.")
            return redirect(way_on(request, reverse("tiles:prints:used_sheet", args=[key])))
    used = queries.used_cells(request.user, key)
    single = request.GET.get("by") == "one"
    page: dict[str, Any] = {
        "choice": choice,
        "sheet": used_picture(choice.stock, used),
        "free": choice.stock.labels_per_sheet - len(used),
        "single": single,
        "next": way_on(request, ""),
    }
    template = "tiles/prints/stocks/_used.html" if request.htmx else "tiles/prints/stocks/used.html"
    return render(request, template, page)


def _choice(key: str) -> StockChoice:
    for choice in queries.stock_choices():
        if choice.key == key and choice.stock.labels_per_sheet > 1:
            return choice
    raise Http404("There is no sheet of labels here by that name.")


def _gone(request: StudioRequest, choice: StockChoice) -> list[int]:
    """The cells that were ticked, or all before the one that was tapped as the first free one."""
    last = choice.stock.labels_per_sheet
    cells = [int(cell) for cell in request.POST.getlist("gone") if cell.isdecimal() and len(cell) < 6]
    start = request.POST.get("start", "")
    if start.isdecimal() and 1 <= int(start[:6]) <= last:
        cells = list(range(1, int(start[:6])))
    return [cell for cell in cells if 1 <= cell <= last]

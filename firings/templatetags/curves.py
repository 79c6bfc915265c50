"""A firing's curves on its page."""

from typing import Any

from django import template

from firings.curves.drawing import asked_drawings, drawings_of
from firings.curves.http import unit_of
from firings.curves.queries import course_for, curve_words, curves_of, noticed_of, segments_of
from firings.heatwork.limits import ALWAYS
from firings.models import Firing

register = template.Library()


@register.inclusion_tag("firings/curves/_panel.html", takes_context=True)
def firing_curves(context: Any, firing: Firing) -> dict[str, Any]:
    """The curve that counts, drawn, and the others by name; else how to bring one in."""
    curves = curves_of(firing)
    unit = unit_of(context["request"])
    page: dict[str, Any] = {"firing": firing, "curves": curves, "perms": context["perms"]}
    if curves:
        page["curve"] = curves[0]
        page["heat"] = curve_words(curves[0], unit)
        page["limits"] = ALWAYS
        page["noticed"] = [words.words(unit) for words in noticed_of(curves[0])]
        page["drawings"] = drawings_of(course_for(curves[0], firing), unit)
    elif asked := asked_drawings(tuple(segments_of(firing)), unit):
        page["asked"] = asked
    return page | {"csrf_token": context.get("csrf_token")}

"""The question a result answers, as an address asks it."""

from urllib.parse import urlencode

from firings.cones import series
from tiles.conditions.stack import is_dip, layers_in
from tiles.ranges.axes import laid

# An answer is about one glaze, alone or on one other; from so many layers on the search answers.
FEWEST_OF_MANY = 3


def question_of(stack_key: str, body: int, cone: int | None, atmosphere: str) -> str:
    """What to ask about a result: its top glaze as it lay and was fired; nothing of bare clay or three and more glazes.

    >>> question_of("7:brush:1|12:brush:3", 4, series.order_of("6"), "oxidation")
    'glaze=12&over=7&coats=3&body=4&cone=6&atmosphere=oxidation'
    """
    glazes = [layer.glaze for layer in layers_in(stack_key)]
    how = laid(stack_key, glazes[-1]) if glazes else None
    if how is None or len(how.below) > 1:
        return ""
    asked = [("glaze", str(glazes[-1])), *(("over", str(key)) for key in how.below)]
    if not is_dip(how.amount):
        asked.append(("coats", how.amount))
    return urlencode([*asked, *_fired(body, cone, atmosphere)])


def results_like(stack_key: str, body: int, reached: int | None, atmosphere: str) -> str:
    """The search for what is layered and fired like a result of three and more glazes; nothing of fewer.

    >>> results_like("7:brush:1|12:brush:3|9:brush:1", 4, series.order_of("6"), "oxidation")
    'top=9&over=12&under=7&body=4&cone=6&atmosphere=oxidation'
    """
    glazes = [layer.glaze for layer in layers_in(stack_key)]
    if len(glazes) < FEWEST_OF_MANY:
        return ""
    bottom, *between, top = map(str, glazes)
    layered = [("top", top), *(("over", key) for key in dict.fromkeys(between)), ("under", bottom)]
    return urlencode([*layered, *_fired(body, reached, atmosphere)])


def _fired(body: int, reached: int | None, atmosphere: str) -> list[tuple[str, str]]:
    """The clay and the fire as both kinds of address say them."""
    cone = [("cone", series.label_of(reached))] if reached is not None else []
    return [("body", str(body)), *cone, *([("atmosphere", atmosphere)] if atmosphere else [])]

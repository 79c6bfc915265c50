"""The question a result answers, as an address asks it."""

from urllib.parse import urlencode

from firings.cones import series
from tiles.ranges.axes import is_dip, laid


def question_of(stack_key: str, body: int, reached: int | None, atmosphere: str) -> str:
    """What to ask about a result: its top glaze as it lay and was fired; nothing of bare clay or three and more glazes.

    >>> question_of("7:brush:1|12:brush:3", 4, series.order_of("6"), "oxidation")
    'glaze=12&over=7&coats=3&body=4&cone=6&atmosphere=oxidation'
    """
    glazes = [int(layer.split(":")[0]) for layer in stack_key.split("|")] if stack_key else []
    how = laid(stack_key, glazes[-1]) if glazes else None
    if how is None or len(how.below) > 1:
        return ""
    asked = [("glaze", str(glazes[-1])), *(("over", str(key)) for key in how.below)]
    if not is_dip(how.amount):
        asked.append(("coats", how.amount))
    asked.append(("body", str(body)))
    if reached is not None:
        asked.append(("cone", series.label_of(reached)))
    return urlencode([*asked, *([("atmosphere", atmosphere)] if atmosphere else [])])

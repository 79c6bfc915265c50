"""Markup without the indentation of its templates."""

import re

from django import template
from django.template.base import NodeList, Parser, Token
from django.utils.safestring import mark_safe

register = template.Library()
# What is typed keeps its own lines.
_BREAK = re.compile(r"(<(textarea|pre)\b.*?</\2>)|[ \t]*\n\s*", re.DOTALL)


class Lean(template.Node):
    """What is rendered within, each break of a line with the blanks around it one line break."""

    def __init__(self, within: NodeList) -> None:
        self.within = within

    def render(self, context: template.Context) -> str:
        return mark_safe(_BREAK.sub(lambda found: found[1] or "\n", self.within.render(context)))  # nosec B308, B703


@register.tag
def lean(parser: Parser, token: Token) -> Lean:
    """Rows of a long list without blanks: `{% lean %}…{% endlean %}`."""
    within = parser.parse(("endlean",))
    parser.delete_first_token()
    return Lean(within)

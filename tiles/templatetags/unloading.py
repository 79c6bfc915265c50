"""`{% load unloading %}`: what is left to judge, on the pages of the floor below."""

from django import template

from firings.models import Firing
from tiles.unloading import queries

register = template.Library()


@register.simple_tag
def left_to_judge(firing: Firing) -> queries.Left:
    """How many of a firing's tiles nobody judged yet: `{% left_to_judge firing as left %}`."""
    return queries.left_to_judge(firing)

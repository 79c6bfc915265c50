"""`{% load conditions %}`: conditions, stacks and cones in words."""

from decimal import Decimal

from django import template

from firings.cones import series
from tiles.answers.addresses import question_of, results_like
from tiles.conditions import line, stack
from tiles.conditions.queries import conditions_of, stacked_facts
from tiles.models import Outcome

register = template.Library()


@register.filter
def conditions_line(outcome: Outcome) -> str:
    """The conditions line of an outcome that came from `for_display()`."""
    return line.conditions_line(conditions_of(outcome))


@register.filter
def stack_words(outcome: Outcome) -> str:
    """The outcome's stack, bottom to top: ``Flux L ×1 + Harbour ×3``."""
    return stack.stack_words([stacked_facts(row) for row in outcome.stacked.all()])


@register.filter
def question_query(outcome: Outcome) -> str:
    """What to ask about glazes laid and fired as this outcome's."""
    return question_of(outcome.stack_key, outcome.body_id, outcome.reached_order, outcome.atmosphere)


@register.filter
def likeness_query(outcome: Outcome) -> str:
    """The search for what is layered and fired like this outcome of three and more glazes."""
    return results_like(outcome.stack_key, outcome.body_id, outcome.reached_order, outcome.atmosphere)


@register.filter
def cone(order: int | None) -> str:
    """A cone's rank as its name: 30 reads 6."""
    return series.label_of(order) if order else ""


@register.filter
def decimal_cone(number: Decimal | None) -> str:
    """A decimal cone in words: 5.80 reads 5.8."""
    return series.number_words(number) if number is not None else ""


@register.filter
def day(value: object) -> str:
    """A date no one can misread: 14 Oct 2026."""
    return line.date_words(value) if value else ""  # type: ignore[arg-type]

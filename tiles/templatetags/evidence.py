"""`{% load evidence %}`: shares, intervals and chances in words and bars."""

from django import template

from firings.estimate import Estimate

register = template.Library()


@register.filter
def percent(share: float) -> str:
    """A share in words: 0.183 reads 18 %, what is below one in two hundred "under 1 %"."""
    if 0 < share < 0.005:
        return "under 1\u00a0%"
    if 0.995 < share < 1:
        return "over 99\u00a0%"
    return f"{share * 100:.0f}\u00a0%"


@register.filter
def percents(estimate: Estimate) -> str:
    """The interval of a share: 4 to 31 %."""
    return f"{estimate.low * 100:.0f} to {estimate.high * 100:.0f}\u00a0%"


@register.filter
def chance(p: float) -> str:
    """How easily chance alone does as much: 0.013, or below 0.001."""
    return "below 0.001" if p < 0.001 else f"{p:.3f}"


@register.filter
def signed(estimate: Estimate) -> str:
    """A figure with its sign: +0.3."""
    return _signed(estimate.value)


@register.filter
def signed_ends(estimate: Estimate) -> str:
    """The interval of a figure with signs: −0.1 to +0.8."""
    return f"{_signed(estimate.low)} to {_signed(estimate.high)}"


def _signed(value: float) -> str:
    rounded = round(value, 1) + 0.0
    return f"{'−' if rounded < 0 else '+' if rounded else ''}{abs(rounded):.1f}"


@register.inclusion_tag("tiles/evidence/_interval.html")
def interval_bar(estimate: Estimate) -> dict[str, float]:
    """A share and its interval drawn from 0 to 100 %."""
    low, high = round(estimate.low * 100, 1), round(estimate.high * 100, 1)
    return {"low": low, "width": max(round(high - low, 1), 1), "value": round(estimate.value * 100, 1)}

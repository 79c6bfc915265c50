"""Rules that the database itself holds, written once and named for the rule."""

from django.db import models
from django.db.models import F, Q

from firings.vocabulary import Term

# Ranks of the published cone series: 022 is 1, 14 is 38 (firings/cones/cones.csv).
CONE_ORDERS = (1, 38)


def one_of(field: str, terms: type[Term], *, blank: bool = False) -> models.CheckConstraint:
    """Only words of the closed list are stored, or nothing where `blank` allows it."""
    allowed = [*terms.values(), ""] if blank else terms.values()
    return models.CheckConstraint(condition=Q(**{f"{field}__in": allowed}), name=f"%(class)s_{field}_known")


def is_cone(field: str) -> models.CheckConstraint:
    """A cone is stored as its rank in the published series, or not at all."""
    in_series = Q(**{f"{field}__range": CONE_ORDERS}) | Q(**{f"{field}__isnull": True})
    return models.CheckConstraint(condition=in_series, name=f"%(class)s_{field}_in_series")


def rising(low: str, high: str, name: str) -> models.CheckConstraint:
    """A range reads from low to high where both ends are given."""
    open_ended = Q(**{f"{low}__isnull": True}) | Q(**{f"{high}__isnull": True})
    return models.CheckConstraint(
        condition=open_ended | Q(**{f"{low}__lte": F(high)}), name=f"%(class)s_{name}_rises"
    )


def within(field: str, low: float, high: float) -> models.CheckConstraint:
    """A figure outside these bounds is a slip of the pen, not a measurement."""
    inside = Q(**{f"{field}__gte": low, f"{field}__lte": high}) | Q(**{f"{field}__isnull": True})
    return models.CheckConstraint(condition=inside, name=f"%(class)s_{field}_plausible")

"""What lies in the bin, and what has lain there long enough."""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import models
from django.db.models import Max
from django.utils import timezone

from firings.models import LAYING, Kept, User
from studio.history.queries import kept_models, may
from tiles.models import Outcome

KEPT_FOR = timedelta(days=30)
SHOWN_AT_MOST = 200


@dataclass(frozen=True, slots=True)
class Binned:
    """A record in the bin."""

    record: Kept
    kind: str
    app_label: str
    model_name: str
    days_left: int


def in_bin(user: User, now: datetime) -> list[Binned]:
    """What lies in the bin of the kinds a person may see, newest first, but for what is another's own.

    One query for each kind.
    """
    found = [
        _described(record, now)
        for model in kept_models()
        if may(user, "view", model)
        for record in _binned(model, user)
    ]
    return sorted(found, key=lambda binned: binned.record.binned_at or now, reverse=True)


def expired(model: type[Kept], now: datetime) -> models.QuerySet[Any]:
    """What has been in the bin for its full time."""
    return everything(model).filter(binned_at__lte=now - KEPT_FOR)


def last_work() -> datetime:
    """When anybody last made a record, judged, or put one into the bin; now, where there is nothing at all."""
    marks = [everything(model).aggregate(last=Max("created_at"))["last"] for model in kept_models()]
    marks.append(Outcome.everything.aggregate(last=Max("judged_at"))["last"])
    return max(filter(None, marks), default=timezone.now())


def everything(model: type[Kept]) -> models.QuerySet[Any]:
    """Records of a kind, the bin included."""
    return model._base_manager.all()


def _binned(model: type[Kept], user: User) -> models.QuerySet[Any]:
    binned = everything(model).filter(model.changeable_by(user), binned_at__lt=LAYING)
    found = binned.select_related("binned_by").order_by("-binned_at")
    if model is Outcome:
        found = found.select_related("tile", "zone", "firing")
    return found[:SHOWN_AT_MOST]


def _described(record: Kept, now: datetime) -> Binned:
    meta = record._meta
    left = (record.binned_at or now) + KEPT_FOR - now
    # A day that has begun counts: what was thrown away just now has its 30 days.
    days = max(0, math.ceil(left / timedelta(days=1)))
    return Binned(record, str(meta.verbose_name), meta.app_label, meta.model_name or "", days)

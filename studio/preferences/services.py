"""Keeping the studio's preferences."""

from django.db import transaction

from firings.models import ChangedMeanwhile
from studio.models import StudioPreferences


def preferences_row() -> StudioPreferences:
    """The one row of preferences, made when there is none."""
    row, _ = StudioPreferences.objects.get_or_create(pk=StudioPreferences.ROW)
    return row


@transaction.atomic
def keep_address_if_none(address: str) -> str:
    """Make this the studio's address unless it has one; the address that stands is returned."""
    row = preferences_row()
    if not row.address:
        row.address = address
        row.save(update_fields=["address"])
    return row.address


def standing_version() -> int:
    """The key of the version of the preferences that stands now, 0 while nothing was ever chosen."""
    newest = StudioPreferences.history.order_by("-history_id").values_list("history_id", flat=True).first()
    return newest or 0


@transaction.atomic
def put_back(before: int, mark: int) -> None:
    """Let the preferences stand as they did in version `before`, as in a new studio where that is 0.

    What stood until now stays in their history.

    Raises
    ------
    ChangedMeanwhile : another version than `mark` stands by now, or there was none such before
    """
    StudioPreferences.objects.select_for_update().filter(pk=StudioPreferences.ROW).first()
    stood = StudioPreferences.history.filter(history_id=before).first()
    if standing_version() != mark or (before and stood is None):
        raise ChangedMeanwhile
    (stood.instance if stood else StudioPreferences()).save(force_update=True)

"""Keeping the studio's preferences."""

from django.db import transaction

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

"""Tiles given to series."""

from collections.abc import Iterable

from django.db import transaction

from firings.models import User
from tiles.models import Series, Tile


@transaction.atomic
def assign(tiles: Iterable[Tile], series: Series | None, *, by: User) -> None:
    """Give tiles to a series, or to none."""
    for tile in tiles:
        tile.series = series
        tile._history_user = by  # type: ignore[attr-defined]
        tile.save(update_fields=["series"])

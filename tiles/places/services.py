"""Note where tiles are kept. It is taken back by `tiles.boards.services.undo`, like a change of a board."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from simple_history.utils import bulk_update_with_history

from firings.models import User
from tiles.boards.services import take_off
from tiles.models import Place, Tile


@transaction.atomic
def keep_in(tiles: Iterable[Tile], place: Place | None, *, by: User) -> datetime:
    """Note where tiles are kept now, or that nobody knows; those that hung on a board do not hang there any more."""
    moment = timezone.now()
    kept = list(Tile.objects.select_for_update(of=("self",)).filter(pk__in=[tile.pk for tile in tiles]))
    take_off(kept, moment, by=by)
    key = place.pk if place else None
    moved = [tile for tile in kept if tile.place_id != key]
    for tile in moved:
        tile.place_id, tile.stamp = key, tile.stamp + 1
    bulk_update_with_history(moved, Tile, ["place", "stamp"], default_user=by, default_date=moment)
    return moment

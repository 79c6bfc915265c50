"""Puts the demo's tiles away, and lays out the load that is to be fired next."""

from collections.abc import Iterable, Sequence

from firings.models import Firing
from firings.vocabulary import FIRED, FiringState
from studio.models import Person
from tiles.loading.services import propose_load
from tiles.models import BoardSlot, Place, Tile
from tiles.places.services import keep_in
from tiles.vocabulary import PlaceKind

# Name, what it is, and how many tiles lie in it.
PLACES = (
    ("Box 1", PlaceKind.BOX, 24),
    ("Box 2", PlaceKind.BOX, 18),
    ("Shelf by the window", PlaceKind.SHELF, 12),
)


def put_away(tiles: Iterable[Tile], *, by: Person) -> None:
    """Fill the places with fired tiles that hang on no board, by number; the rest lie about, as they do."""
    hung = BoardSlot.objects.filter(tile__isnull=False).values("tile")
    fired = Tile.objects.filter(pk__in=[tile.pk for tile in tiles], placements__firing__state__in=FIRED)
    waiting: Sequence[Tile] = list(fired.exclude(pk__in=hung).distinct().order_by("number"))
    for name, kind, room in PLACES:
        place = Place(name=name, kind=kind.value, created_by=by)
        place._history_user = by  # type: ignore[attr-defined]
        place.save()
        keep_in(waiting[:room], place, by=by)
        waiting = waiting[room:]


def lay_out_the_load(firings: Iterable[Firing], *, by: Person) -> None:
    """Draw what is loaded and not fired yet to scale, as the studio's own proposal has it."""
    for firing in firings:
        if firing.state == FiringState.LOADED.value:
            propose_load(firing, by=by)

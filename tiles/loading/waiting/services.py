"""Put what waits into a firing: a new one or one that is planned; what finds no room goes on waiting."""

from dataclasses import dataclass

from django.db import transaction

from firings.logbook.facts import FiringFacts
from firings.logbook.services import plan_firing
from firings.models import Firing, Kiln, User
from tiles.loading import services as loading
from tiles.loading.waiting.grouping import Fire
from tiles.loading.waiting.queries import tiles_for
from tiles.models import Placement


@dataclass(frozen=True, slots=True)
class Filled:
    """A firing with the tiles that were put in, those that found no room, and the history that undoing takes back."""

    firing: Firing
    placed: int
    left: int
    undo: tuple[int, int] | None


@transaction.atomic
def fire_waiting(fire: Fire, kiln: Kiln, firing: Firing | None, *, by: User) -> Filled:
    """Put the tiles that wait for a fire into a planned firing, or into a new one where none is given."""
    keys = tiles_for(fire)
    if firing is None:
        facts = FiringFacts(
            kiln_id=kiln.pk, target_order=fire.cone_order, atmosphere=fire.fired_in, hold_min=fire.hold_min
        )
        firing = plan_firing(facts, by=by)
    put = loading.place_tiles(firing, keys, None, "", False, by=by)
    done = loading.propose_load(firing, by=by)
    without = Placement.objects.filter(firing=firing, tile__in=keys, shelf__isnull=True)
    left = list(without.select_related("tile", "firing"))
    spans = [span for span in (put.undo, done.undo) if span]
    for placement in left:
        spans.append(loading.take_off(placement, by=by))
    undo = (min(span[0] for span in spans), max(span[1] for span in spans)) if spans else None
    return Filled(firing, len(keys) - len(left), len(left), undo)

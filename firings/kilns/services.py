"""Keep a kiln and its shelves."""

from collections.abc import Sequence
from dataclasses import asdict

from django.db import transaction
from django.db.models import ProtectedError

from firings.kilns.facts import KilnFacts, ShelfFacts
from firings.models import Kiln, Shelf, User

# Positions are moved out of the way before they are given anew: no two shelves may share one, not even for a moment.
ASIDE = 1000


class ShelfInUse(Exception):
    """Tiles stood on the shelf in some firing; the words are fit for a form."""


@transaction.atomic
def add_kiln(facts: KilnFacts, shelves: Sequence[ShelfFacts], *, by: User) -> Kiln:
    """A new kiln with its shelves."""
    kiln = Kiln(created_by=by, **asdict(facts))
    kiln.save()
    _keep_shelves(kiln, shelves)
    return kiln


@transaction.atomic
def change_kiln(
    kiln_id: int, stamp: int, facts: KilnFacts, shelves: Sequence[ShelfFacts], *, by: User
) -> Kiln:
    """Keep a kiln as it is described now.

    Raises StaleEdit where somebody else changed it meanwhile, ShelfInUse where a shelf that is gone held tiles.
    """
    kiln: Kiln = Kiln.objects.claim(kiln_id, stamp)
    for name, value in asdict(facts).items():
        setattr(kiln, name, value)
    kiln.save()
    _keep_shelves(kiln, shelves)
    return kiln


def _keep_shelves(kiln: Kiln, shelves: Sequence[ShelfFacts]) -> None:
    standing = {shelf.pk: shelf for shelf in kiln.shelves.all()}
    listed = {facts.pk for facts in shelves}
    for pk in standing.keys() - listed:
        _take_out(standing[pk])
    for facts in shelves:
        shelf = standing.get(facts.pk or 0)
        if shelf and shelf.position != facts.position:
            kiln.shelves.filter(pk=shelf.pk).update(position=ASIDE + facts.position)
    for facts in shelves:
        _keep_shelf(standing.get(facts.pk or 0) or Shelf(kiln=kiln), facts)


def _take_out(shelf: Shelf) -> None:
    try:
        shelf.delete()
    except ProtectedError:
        raise ShelfInUse(f"Shelf {shelf.position} held tiles in a firing, so it stays.") from None


def _keep_shelf(shelf: Shelf, facts: ShelfFacts) -> None:
    if shelf.pk and shelf_facts(shelf) == facts:
        return
    shelf.position, shelf.width_mm = facts.position, facts.width_mm
    shelf.depth_mm, shelf.height_mm, shelf.shape = facts.depth_mm, facts.height_mm, facts.shape
    shelf.save()


def shelf_facts(shelf: Shelf) -> ShelfFacts:
    """A shelf as it stands."""
    return ShelfFacts(shelf.position, shelf.width_mm, shelf.depth_mm, shelf.height_mm, shelf.pk, shelf.shape)

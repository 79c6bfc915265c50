"""A made-up studio is true in itself, the same for the same seed, and keeps off a studio that holds tiles."""

import pytest
from django.core.management import CommandError, call_command

from tests.factories import TileFactory
from tiles.columns.queries import read_now
from tiles.conditions.queries import untrue_copies
from tiles.made_up.services import insert, make_outcomes
from tiles.models import Flaw, Outcome, Placement, ResultChange, Tile

pytestmark = pytest.mark.django_db


def made(count: int = 60, seed: int = 1, **more: object) -> int:
    return make_outcomes(count, seed, say=lambda words: None, **more)


def signature() -> list[tuple[object, ...]]:
    rows = Outcome.objects.order_by("pk")
    return list(
        rows.values_list("stack_key", "body__name", "reached_order", "surface", "run_mm", "lab_l", "remark")
    )


def test_every_copy_of_conditions_is_true():
    assert made(90) == 90
    assert [*untrue_copies()] == []
    assert Outcome.objects.fired().count() == 90
    assert len(read_now().rows) == 90


def test_rows_pass_their_models_own_rules():
    made()
    for outcome in Outcome.objects.all():
        outcome.full_clean()
    for tile in Tile.objects.all():
        tile.full_clean()


def test_another_seed_gives_another_studio():
    made(seed=1)
    first = signature()
    Flaw.objects.all().delete()
    made(seed=2, beside=True)

    assert signature()[: len(first)] == first
    assert [row[0] for row in signature()[len(first) :]] != [row[0] for row in first]


def test_a_studio_that_holds_tiles_is_left_alone_unless_told():
    tile = TileFactory()
    with pytest.raises(CommandError, match="already holds tiles"):
        call_command("make_outcomes", "30")
    call_command("make_outcomes", "30", "--beside", verbosity=0)

    assert Tile.objects.count() == 11
    assert Tile.objects.filter(pk=tile.pk).exists()


def test_the_next_tile_made_by_hand_gets_a_key_and_writes_are_noted_again():
    made()
    ResultChange.objects.all().delete()
    TileFactory()
    Outcome.objects.first().save()

    assert ResultChange.objects.filter(about="outcome").exists()


def test_columns_that_rows_do_not_give_hold_what_their_model_gives_them():
    made()
    placed = Placement.objects.first()
    Outcome.everything.filter(placement=placed).delete()
    tile, firing, placement = placed.tile_id, placed.firing_id, placed.pk
    placed.delete()
    insert(Placement, ("id", "tile_id", "firing_id"), [(placement, tile, firing)])

    assert Placement.objects.get(pk=placement).sequence == 1

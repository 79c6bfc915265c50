"""What history tells of a glazing session, and what goes back with a tile."""

import pytest

from studio.history.queries import changes_of
from studio.history.services import restore
from studio.models import Person
from tests.factories import GlazeFactory, TileFactory, glaze_tile
from tiles.glazing.services import Details, lay_coat, leave_at, take_back
from tiles.models import CoatLaid, Coverage, Layer, Tile

pytestmark = pytest.mark.django_db


@pytest.fixture
def tile() -> Tile:
    return glaze_tile(TileFactory(glazed_on=None), (GlazeFactory(name="Harbour"), {"band 1": 1, "band 2": 3}))


@pytest.fixture
def layer(tile: Tile) -> Layer:
    return tile.layers.get()


def on(layer: Layer) -> list[int]:
    return list(CoatLaid.objects.filter(layer=layer).values_list("number", flat=True))


def coats(layer: Layer) -> list[int | None]:
    return list(layer.coverages.order_by("zone__position").values_list("coats", flat=True))


def back_by_one(tile: Tile, by: Person) -> None:
    """Put the tile back to the version before the one that stands."""
    version = tile.history.order_by("-history_id")[1]
    restore(Tile.objects.get(pk=tile.pk), version.history_id, by=by)


def told(tile: Tile) -> list[tuple[str, str]]:
    return [(entry.title, one.who) for one in changes_of(tile) for entry in one.entries]


def test_history_tells_who_put_on_and_took_back_which_coat(tile, layer, recorder, keeper):
    coat = lay_coat(layer.pk, 1, Details(tool="mop"), by=recorder)
    take_back(coat.pk, by=keeper)

    assert ("coat 1 of Harbour put on", str(recorder)) in told(tile)
    assert ("coat 1 of Harbour taken back", str(keeper)) in told(tile)


def test_a_tile_goes_back_to_before_a_coat_with_what_it_was_put_on_with(tile, layer, recorder):
    lay_coat(layer.pk, 1, Details(tool="mop"), by=recorder)
    lay_coat(layer.pk, 2, Details(tool="fan brush"), by=recorder)

    back_by_one(tile, recorder)

    layer.refresh_from_db()
    assert (on(layer), layer.tool) == ([1], "mop")


def test_the_coats_planned_come_back_where_a_layer_was_left_at_fewer(tile, layer, recorder):
    lay_coat(layer.pk, 1, Details(), by=recorder)
    leave_at(layer.pk, 1, by=recorder)
    tile.refresh_from_db()
    assert (coats(layer), tile.glazed_on is None) == ([1, 1], False)

    back_by_one(tile, recorder)

    tile.refresh_from_db()
    assert (coats(layer), on(layer), tile.glazed_on) == ([1, 3], [1], None)


def test_a_coat_taken_back_comes_back_with_its_time(tile, layer, recorder):
    coat = lay_coat(layer.pk, 1, Details(), by=recorder)
    take_back(coat.pk, by=recorder)

    back_by_one(tile, recorder)

    again = CoatLaid.objects.get(layer=layer)
    assert (again.number, again.laid_at, again.laid_by) == (1, coat.laid_at, recorder)


def test_what_is_left_on_a_tile_is_still_what_its_zones_say(tile, layer, recorder):
    for number in (1, 2, 3):
        lay_coat(layer.pk, number, Details(), by=recorder)

    assert Coverage.objects.get(layer=layer, zone__name="band 2").coats == 3
    assert Tile.objects.get(pk=tile.pk).glazed_by == recorder

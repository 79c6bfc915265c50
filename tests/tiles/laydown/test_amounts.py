"""How much glaze so many tiles take, and the pages that say it."""

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from studio.models import Person
from tests.counting import queries_of
from tests.factories import (
    BatchReadingFactory,
    GlazeBatchFactory,
    GlazeFactory,
    SeriesFactory,
    TileFactory,
    TileFormFactory,
    glaze_tile,
)
from tiles.laydown.amounts.reckoning import slop_for, slop_of_dry, slop_of_volume
from tiles.laydown.thickness.queries import wet_of_a_coat
from tiles.models import Coverage, Glaze, Tile
from tiles.planner.queries import on_hand

BANDS = {"band 1": 1, "band 2": 2, "band 3": 3}


def test_a_litre_at_one_and_a_half():
    """Potters' mailing list, 1998: 1500 g a litre, solids at 2.5, is 833.3 g dry and 666.7 g of water."""
    found = slop_of_volume(1000, 1.5, 2.5)

    assert (round(found.dry_g, 1), round(found.water_ml, 1)) == (833.3, 666.7)


def test_310_grams_in_200_ml():
    """Cardew's example as cited on the same list, 2000: 310 g in 200 ml, solids at 2.6, holds 178.75 g dry."""
    assert slop_of_volume(200, 310 / 200, 2.6).dry_g == pytest.approx(178.75)


@given(st.floats(1, 50_000), st.floats(1.05, 2.2))
def test_what_is_mixed_from_a_bucket_s_dry_glaze_is_that_bucket(ml, gravity):
    bucket = slop_of_volume(ml, gravity)

    assert slop_of_dry(bucket.dry_g, gravity).ml == pytest.approx(ml)
    assert bucket.dry_g + bucket.water_ml == pytest.approx(bucket.wet_g)


@given(st.floats(1, 10_000), st.integers(1, 10), st.floats(0.01, 0.2), st.floats(1.1, 2))
def test_twice_the_coats_are_twice_the_slop(area_cm2, coats, coat_g, gravity):
    once = slop_for(area_cm2, coats, coat_g, gravity, 20)

    assert slop_for(area_cm2, 2 * coats, coat_g, gravity, 20).ml == pytest.approx(2 * once.ml)
    assert once.wet_g == pytest.approx(area_cm2 * coats * coat_g * 1.2)


pages = pytest.mark.django_db


def weighed_tile(glaze: Glaze, person: Person | None = None, wet_g_cm2: float = 0.05, **layer) -> Tile:
    """A tile whose three bands were weighed, so much slop a coat and square centimetre."""
    layer.setdefault("specific_gravity", "1.450")
    tile = glaze_tile(TileFactory(glazed_by=person), (glaze, BANDS), **layer)
    for cover in Coverage.objects.filter(layer__tile=tile).select_related("zone"):
        cover.wet_mass_g = round(wet_g_cm2 * float(cover.zone.area_cm2) * cover.coats, 2)
        cover.save()
    return tile


@pages
def test_each_person_and_brush_has_a_line_with_the_tiles_behind_it(
    viewer_client: Client, recorder: Person, keeper: Person
):
    glaze = GlazeFactory(name="Harbour")
    tiles = [weighed_tile(glaze, recorder, tool="mop") for _ in range(4)]
    weighed_tile(glaze, keeper, tool="fan")

    page = viewer_client.get("/catalogue/thickness/").content.decode()

    assert page.index("mop") < page.index("fan")
    assert "not enough to say how surely" in page
    behind = viewer_client.get(
        "/catalogue/thickness/weighed/",
        {"glaze": glaze.pk, "person": recorder.pk, "method": "brush", "tool": "mop"},
    ).content.decode()
    assert all(tile.label in behind for tile in tiles)


@pages
def test_a_weighed_zone_whose_gravity_nobody_noted_is_told_of(viewer_client: Client):
    weighed_tile(GlazeFactory(), specific_gravity=None)

    page = viewer_client.get("/catalogue/thickness/").content.decode()

    assert "3 weighed zones left out" in page


@pages
def test_the_gravity_of_the_lot_stands_in_for_the_layers(viewer_client: Client):
    glaze = GlazeFactory()
    lot = GlazeBatchFactory(glaze=glaze, specific_gravity="1.500")
    weighed_tile(glaze, specific_gravity=None, batch=lot)

    assert "left out" not in viewer_client.get("/catalogue/thickness/").content.decode()


@pages
def test_a_glaze_is_reckoned_by_its_own_tiles_once_there_are_enough():
    few, many = GlazeFactory(), GlazeFactory()
    for _ in range(3):
        weighed_tile(few, wet_g_cm2=0.03)
    for _ in range(5):
        weighed_tile(many, wet_g_cm2=0.07)

    found = wet_of_a_coat()

    assert few.pk not in found
    assert found[many.pk] == pytest.approx(0.07, rel=0.02)
    assert found[0] == pytest.approx((3 * 0.03 + 5 * 0.07) / 8, rel=0.02)


@pages
def test_the_planner_reckons_with_what_was_weighed():
    glaze = GlazeFactory()
    for _ in range(4):
        weighed_tile(glaze, wet_g_cm2=0.09)

    assert on_hand().laydown[str(glaze.pk)] == pytest.approx(0.09, rel=0.02)


@pages
def test_tiles_of_a_form_take_their_area_in_coats(viewer_client: Client):
    form = TileFormFactory()
    area_cm2 = sum(zone.area_cm2 for zone in form.zones.all() if zone.kind != "foot")
    glaze = GlazeFactory()
    for _ in range(4):
        weighed_tile(glaze, wet_g_cm2=0.05)
    asked = {"glaze": glaze.pk, "form": form.pk, "tiles": 10, "coats": 2, "sg": "1,5", "waste": "0"}

    page = " ".join(viewer_client.get("/catalogue/amounts/", asked).content.decode().split())

    grams = area_cm2 * 10 * 2 * sum(wet_of_a_coat()[key] for key in (glaze.pk,))
    assert f"{grams:.0f} g of slop" in page
    assert "as weighed here" in page
    assert "as you wrote it" in page


@pages
def test_without_a_form_or_an_area_it_says_what_is_missing(viewer_client: Client):
    answer = viewer_client.get("/catalogue/amounts/", {"tiles": 10, "coats": 2})

    assert answer.status_code == 422
    assert "Choose a form, or write the area" in answer.content.decode()


@pages
@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"ml": "2000", "sg_wanted": "1,5"}, "1625 g dry"),
        ({"dry_g": "812,5", "sg_wanted": "1.5"}, "make 1000 ml"),
        ({"ml": "1000", "dry_g": "5", "sg_wanted": "1.5"}, "Write one of the two"),
        ({"ml": "much", "sg_wanted": "1.5"}, "is not a figure"),
        ({"volume_ml": "1000", "sg_now": "1.6", "sg_wanted": "1.5"}, "Add 200 ml of water"),
    ],
)
def test_a_bucket_is_mixed_and_thinned(viewer_client: Client, asked, says):
    """Handbook table: a litre at 1.5 holds 812.5 g, solids at 2.6."""
    assert says in " ".join(viewer_client.get("/catalogue/amounts/", asked).content.decode().split())


@pages
def test_a_series_takes_what_its_unglazed_tiles_want_at_the_newest_lots_weight(viewer_client: Client):
    series, glaze = SeriesFactory(), GlazeFactory(name="Quay")
    lot = GlazeBatchFactory(glaze=glaze, specific_gravity="1.400", opened_on="2026-01-05")
    BatchReadingFactory(batch=lot, specific_gravity="1.520", taken_on="2026-02-01")
    glaze_tile(TileFactory(series=series, glazed_on=None), (glaze, BANDS))
    glaze_tile(TileFactory(series=series, glazed_on="2026-01-05"), (glaze, BANDS))

    page = " ".join(viewer_client.get(f"/catalogue/amounts/?series={series.pk}").content.decode().split())

    assert "1 tile to glaze" in page
    assert "1.52" in page
    assert "as its newest lot was weighed last" in page


@pages
def test_the_table_asks_as_much_of_the_database_for_many_as_for_few(viewer_client: Client, recorder: Person):
    glaze = GlazeFactory()
    weighed_tile(glaze, recorder)
    few = queries_of(viewer_client, "/catalogue/thickness/")
    for _ in range(6):
        weighed_tile(GlazeFactory(), recorder)

    assert queries_of(viewer_client, "/catalogue/thickness/") == few

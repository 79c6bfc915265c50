"""Glazing at the bench: each coat is kept as it is tapped, once, and the last one makes the tile glazed."""

import re
from datetime import timedelta
from html import unescape

import pytest
from django.test import Client
from django.utils import timezone

from studio.models import Person
from tests.counting import queries_of
from tests.factories import (
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    PlacementFactory,
    SeriesFactory,
    TileFactory,
    glaze_tile,
)
from tiles.models import CoatLaid, Coverage, Layer, Series, Tile

pytestmark = pytest.mark.django_db

BANDS = {"band 1": 1, "band 2": 2, "band 3": 3}


@pytest.fixture
def series() -> Series:
    return SeriesFactory(name="Harbour, thinner")


def planned(series: Series | None = None, *rows, **facts) -> Tile:
    """A tile whose layers are planned and that nobody has glazed."""
    harbour = GlazeFactory(drying_min=30)
    return glaze_tile(TileFactory(series=series, glazed_on=None, **facts), *(rows or ((harbour, BANDS),)))


def tap(client: Client, layer: Layer, number: int, query: str = "", **typed):
    return client.post(f"/glazing/coats/{layer.pk}/{number}/{query}", typed)


def layer_of(tile: Tile) -> Layer:
    return tile.layers.first()


def on(tile: Tile) -> list[int]:
    return list(CoatLaid.objects.filter(layer__tile=tile).values_list("number", flat=True))


def test_the_page_says_what_to_brush_where(recorder_client: Client, series):
    tile = planned(series)

    page = recorder_client.get(f"/glazing/now/?series={series.pk}").content.decode()

    assert tile.label in page
    assert "coat 1 of 3" in page
    assert "band 1, band 2, band 3" in page
    assert "30 min between coats, says the label" in page


def test_the_second_coat_goes_only_where_two_are_wanted(recorder_client: Client, series):
    tile = planned(series)
    tap(recorder_client, layer_of(tile), 1)

    page = recorder_client.get(f"/glazing/now/?series={series.pk}").content.decode()

    assert "coat 2 of 3" in page
    assert "<strong>band 2, band 3</strong>" in page


def test_a_tapped_coat_is_kept_with_who_and_when(recorder_client: Client, recorder: Person, series):
    tile = planned(series)

    answer = tap(recorder_client, layer_of(tile), 1, f"?series={series.pk}")

    assert answer["Location"] == f"/glazing/now/?series={series.pk}"
    coat = CoatLaid.objects.get()
    assert (coat.number, coat.laid_by) == (1, recorder)
    assert timezone.now() - coat.laid_at < timedelta(minutes=1)
    assert coat.history.get().history_user == recorder


def test_a_coat_tapped_twice_is_one_coat(recorder_client: Client, series):
    layer = layer_of(planned(series))

    tap(recorder_client, layer, 1)
    first = CoatLaid.objects.get().laid_at
    tap(recorder_client, layer, 1)

    assert CoatLaid.objects.get().laid_at == first


def test_a_coat_before_its_turn_is_not_noted(recorder_client: Client, series):
    layer = layer_of(planned(series))

    answer = recorder_client.post(f"/glazing/coats/{layer.pk}/2/", follow=True)

    assert "come further meanwhile" in answer.content.decode()
    assert not CoatLaid.objects.exists()


def test_the_last_coat_makes_the_tile_glazed_by_whoever_tapped_it(
    recorder_client: Client, recorder: Person, series
):
    tile = planned(series)
    for number in (1, 2, 3):
        tap(recorder_client, layer_of(tile), number)

    tile.refresh_from_db()
    assert (tile.glazed_on, tile.glazed_by) == (timezone.localdate(), recorder)
    page = recorder_client.get(f"/glazing/now/?series={series.pk}").content.decode()
    assert "All of them are glazed" in page


def test_what_dries_is_passed_over_and_says_until_when(recorder_client: Client, series):
    first, second = planned(series), planned(series)
    tap(recorder_client, layer_of(first), 1)

    page = recorder_client.get(f"/glazing/now/?series={series.pk}").content.decode()

    until = timezone.localtime(CoatLaid.objects.get().laid_at + timedelta(minutes=30))
    assert page.index(second.label) < page.index(first.label)
    assert f"{until:%H:%M}" in page


def test_a_dry_tile_is_next_again(recorder_client: Client, series):
    first, second = planned(series), planned(series)
    tap(recorder_client, layer_of(first), 1)
    CoatLaid.objects.update(laid_at=timezone.now() - timedelta(minutes=31))

    page = recorder_client.get(f"/glazing/now/?series={series.pk}").content.decode()

    assert page.index(first.label) < page.index(second.label)
    assert "coat 2 of 3" in page


def test_a_tile_may_be_taken_out_of_its_turn(recorder_client: Client, series):
    first, second = planned(series), planned(series)

    page = recorder_client.get(f"/glazing/now/?series={series.pk}&tile={second.label}").content.decode()

    assert page.index(second.label) < page.index(first.label)


def test_lot_gravity_and_brush_are_kept_and_carried_to_the_next_tile(recorder_client: Client, series):
    glaze = GlazeFactory(drying_min=30)
    lot = GlazeBatchFactory(glaze=glaze, lot="27-004")
    first, second = planned(series, (glaze, BANDS)), planned(series, (glaze, BANDS))

    tap(recorder_client, layer_of(first), 1, batch=lot.pk, gravity="1,46", tool="fan brush")

    layer = layer_of(first)
    assert (layer.batch, str(layer.specific_gravity), layer.tool) == (lot, "1.460", "fan brush")
    page = recorder_client.get(f"/glazing/now/?series={series.pk}&tile={second.label}").content.decode()
    assert "lot 27-004, SG 1.46, fan brush" in page


def test_a_slip_in_the_gravity_keeps_what_was_typed_and_notes_nothing(recorder_client: Client, series):
    layer = layer_of(planned(series))

    answer = tap(recorder_client, layer, 1, f"?series={series.pk}", gravity="14,6", tool="mop")

    assert answer.status_code == 422
    page = answer.content.decode()
    assert "14,6" in page
    assert "mop" in page
    assert "Between 1 and 2.5" in page
    assert not CoatLaid.objects.exists()


def test_the_lot_of_another_glaze_is_refused(recorder_client: Client, series):
    layer = layer_of(planned(series))

    assert tap(recorder_client, layer, 1, batch=GlazeBatchFactory().pk).status_code == 422


def test_a_layer_may_be_left_at_fewer_coats_than_planned(recorder_client: Client, series):
    tile = planned(series)
    layer = layer_of(tile)
    tap(recorder_client, layer, 1)

    recorder_client.post(f"/glazing/coats/{layer.pk}/leave/1/")

    assert set(Coverage.objects.filter(layer=layer).values_list("coats", flat=True)) == {1}
    tile.refresh_from_db()
    assert tile.glazed_on == timezone.localdate()


def more(client: Client, layer: Layer, number: int):
    return client.post(f"/glazing/coats/{layer.pk}/more/{number}/", follow=True).content.decode()


def coats_on(tile: Tile) -> list[int | None]:
    covers = Coverage.objects.filter(layer__tile=tile).order_by("layer__position", "zone__position")
    return list(covers.values_list("coats", flat=True))


def test_a_coat_more_than_planned_is_noted_in_one_tap_and_once(recorder_client: Client, series):
    tile = planned(series, (GlazeFactory(), {"band 1": 1, "band 2": 2}))
    layer = layer_of(tile)
    for number in (1, 2):
        tap(recorder_client, layer, number)

    page = recorder_client.get(f"/glazing/now/?series={series.pk}").content.decode()
    assert "One coat more is on" in page
    assert f"/glazing/coats/{layer.pk}/more/3/" in page
    for _ in range(2):
        assert f"{tile.label} has 3 coats" in more(recorder_client, layer, 3)

    assert (coats_on(tile), on(tile)) == ([1, 3], [1, 2, 3])


def test_a_coat_more_is_not_noted_while_planned_ones_are_left(recorder_client: Client, series):
    tile = planned(series)
    tap(recorder_client, layer_of(tile), 1)

    assert "coats left as it was planned" in more(recorder_client, layer_of(tile), 2)
    assert "come further" in more(recorder_client, layer_of(tile), 3)
    assert (coats_on(tile), on(tile)) == ([1, 2, 3], [1])


def test_a_coat_more_is_not_noted_under_another_layer(recorder_client: Client, series):
    tile = planned(series, (GlazeFactory(), {"band 1": 1}), (GlazeFactory(), {"band 1": 1}))
    below, above = tile.layers.all()
    for layer in (below, above):
        tap(recorder_client, layer, 1)

    assert "come further" in more(recorder_client, below, 2)
    assert coats_on(tile) == [1, 1]


def test_a_fired_tile_gets_no_coat_more(recorder_client: Client, series):
    tile = planned(series, (GlazeFactory(), {"band 1": 1}))
    tap(recorder_client, layer_of(tile), 1)
    PlacementFactory(tile=tile, firing=FiringFactory())

    page = recorder_client.get(f"/glazing/now/?tiles={tile.label}").content.decode()

    assert "One coat more is on" not in page
    assert "in a firing already" in more(recorder_client, layer_of(tile), 2)


def test_a_coat_more_that_was_none_is_taken_back_and_left(recorder_client: Client, series):
    tile = planned(series, (GlazeFactory(), {"band 1": 1, "band 2": 2}))
    layer = layer_of(tile)
    for number in (1, 2):
        tap(recorder_client, layer, number)
    more(recorder_client, layer, 3)

    recorder_client.post(f"/glazing/coats/back/{CoatLaid.objects.get(number=3).pk}/")
    recorder_client.post(f"/glazing/coats/{layer.pk}/leave/2/")

    tile.refresh_from_db()
    assert (coats_on(tile), on(tile), tile.glazed_on) == ([1, 2], [1, 2], timezone.localdate())


def test_a_note_taken_with_a_coat_stands_on_its_tile_and_no_other(recorder_client: Client, series):
    first, second = planned(series, note="wedged twice"), planned(series)

    for _ in range(2):
        tap(recorder_client, layer_of(first), 1, note="drip at the edge")
    page = recorder_client.get(f"/glazing/now/?series={series.pk}&tile={second.label}").content.decode()

    first.refresh_from_db()
    assert first.note == "wedged twice\ndrip at the edge"
    assert "drip at the edge" not in page


def test_who_noted_a_coat_first_is_told_to_the_second(
    recorder_client: Client, keeper_client: Client, recorder: Person, series
):
    layer = layer_of(planned(series))
    tap(recorder_client, layer, 1)

    answer = keeper_client.post(f"/glazing/coats/{layer.pk}/1/", follow=True).content.decode()

    assert f"{recorder} noted that coat at" in answer
    assert on(layer.tile) == [1]


def test_the_page_says_what_lies_under_a_layer_and_what_comes_over_it(recorder_client: Client, series):
    below, beside, above = (GlazeFactory(name=name) for name in ("Flux L", "Mussel", "Harbour"))
    tile = planned(series, (below, {"band 1": 1}), (beside, {"band 3": 1}), (above, {"band 1": 1}))
    address = f"/glazing/now/?series={series.pk}"

    assert "Harbour goes over it later" in recorder_client.get(address).content.decode()
    for layer in tile.layers.all()[:2]:
        tap(recorder_client, layer, 1)
    page = " ".join(recorder_client.get(address).content.decode().split())
    assert "<strong>band 1</strong>, over Flux L </p>" in page
    assert "over Mussel" not in page


def test_the_last_coat_is_taken_back_and_the_tile_waits_again(recorder_client: Client, series):
    tile = planned(series, (GlazeFactory(), {"band 1": 1}))
    tap(recorder_client, layer_of(tile), 1)

    recorder_client.post(f"/glazing/coats/back/{CoatLaid.objects.get().pk}/")

    tile.refresh_from_db()
    assert (on(tile), tile.glazed_on) == ([], None)


def test_an_earlier_coat_is_not_taken_back_from_under_a_later_one(recorder_client: Client, series):
    tile = planned(series)
    for number in (1, 2):
        tap(recorder_client, layer_of(tile), number)

    answer = recorder_client.post(f"/glazing/coats/back/{CoatLaid.objects.get(number=1).pk}/", follow=True)

    assert "Another coat was put on since" in answer.content.decode()
    assert on(tile) == [1, 2]


def test_a_tile_that_went_into_a_firing_keeps_its_coats(recorder_client: Client, series):
    tile = planned(series, (GlazeFactory(), {"band 1": 1}))
    tap(recorder_client, layer_of(tile), 1)
    PlacementFactory(tile=tile, firing=FiringFactory())

    recorder_client.post(f"/glazing/coats/back/{CoatLaid.objects.get().pk}/")

    assert on(tile) == [1]


def test_a_fired_tile_is_not_waited_for_though_nobody_noted_its_glazing(recorder_client: Client, series):
    tile = planned(series)
    PlacementFactory(tile=tile, firing=FiringFactory())

    assert "No tile waits for glaze" in recorder_client.get("/glazing/").content.decode()
    assert "Glaze 1 now" not in recorder_client.get(series.get_absolute_url()).content.decode()
    assert "Glaze it now" not in recorder_client.get(tile.get_absolute_url()).content.decode()
    assert (
        "All of them are glazed"
        in recorder_client.get(f"/glazing/sheet/?series={series.pk}").content.decode()
    )
    tap(recorder_client, layer_of(tile), 1)
    assert on(tile) == []


def test_a_layer_for_a_refiring_has_no_turn_before_the_first_firing(recorder_client: Client, series):
    tile = planned(series, (GlazeFactory(name="Harbour"), {"band 1": 1}))
    glaze_tile(tile, (GlazeFactory(name="Flux L"), {"band 1": 2}), after_firings=1)

    page = recorder_client.get(f"/glazing/now/?series={series.pk}").content.decode()
    assert "<strong>0</strong> of 1" in page or "0 of 1" in page
    tap(recorder_client, layer_of(tile), 1)

    tile.refresh_from_db()
    assert tile.glazed_on == timezone.localdate()
    assert Coverage.objects.filter(layer__tile=tile).count() == 2


def test_a_sheet_leaves_the_layers_for_a_refiring_as_they_are(recorder_client: Client, series):
    tile = planned(series, (GlazeFactory(name="Harbour"), {"band 1": 1}))
    sheet = typed(tile)
    glaze_tile(tile, (GlazeFactory(name="Flux L"), {"band 1": 2}), after_firings=1)

    recorder_client.post(f"/glazing/sheet/?series={series.pk}", sheet)

    assert list(Coverage.objects.filter(layer__tile=tile).values_list("coats", flat=True)) == [1, 2]


def test_a_grid_changed_meanwhile_does_not_take_a_coat_it_has_not(recorder_client: Client, series):
    tile = planned(series)
    layer = layer_of(tile)
    Layer.objects.filter(pk=layer.pk).delete()

    answer = tap(recorder_client, layer, 1)

    assert answer.status_code == 302
    assert not CoatLaid.objects.exists()


def test_an_open_form_of_the_tile_does_not_undo_a_coat_silently(recorder_client: Client, series):
    tile = planned(series)
    before = tile.stamp
    tap(recorder_client, layer_of(tile), 1)

    tile.refresh_from_db()
    assert tile.stamp > before


def test_a_viewer_glazes_nothing(viewer_client: Client, series):
    layer = layer_of(planned(series))

    assert viewer_client.get("/glazing/").status_code == 403
    assert tap(viewer_client, layer, 1).status_code == 403
    assert not CoatLaid.objects.exists()


def test_a_session_asks_as_much_of_the_database_for_many_tiles_as_for_few(recorder_client: Client, series):
    glaze = GlazeFactory(drying_min=30)

    address = f"/glazing/now/?series={series.pk}"
    for _ in range(2):
        tap(recorder_client, layer_of(planned(series, (glaze, BANDS))), 1)
        planned(series, (glaze, BANDS))
    few = queries_of(recorder_client, address)
    for _ in range(10):
        tap(recorder_client, layer_of(planned(series, (glaze, BANDS))), 1)
        planned(series, (glaze, BANDS))

    assert queries_of(recorder_client, address) == few


# The sheet from the clip-board ------------------------------------------------------------------------------


def typed(*tiles: Tile, **changes) -> dict[str, object]:
    """The sheet as it stands on the page, and what is typed otherwise."""
    sheet: dict[str, object] = {"glazed_on": "2026-05-04"}
    for tile in tiles:
        sheet |= {f"on-{tile.pk}": "on", f"stamp-{tile.pk}": tile.stamp, f"note-{tile.pk}": ""}
        for layer in tile.layers.all():
            sheet[f"coats-{layer.pk}"] = " ".join(
                str(cover.coats) for cover in layer.coverages.order_by("zone__position")
            )
    return sheet | changes


def test_the_sheet_holds_what_was_planned_in_the_order_of_the_paper(recorder_client: Client, series):
    first, second = planned(series), planned(series)
    series.plan = {"made": [{"tiles": [[second.number, 1, None], [first.number, 1, None]]}]}
    series.save()

    page = recorder_client.get(f"/glazing/sheet/?series={series.pk}").content.decode()

    assert page.index(second.label) < page.index(first.label)
    assert page.count('value="1 2 3"') == 2


def test_a_whole_sheet_is_kept_at_once(recorder_client: Client, recorder: Person, series):
    first, second = planned(series), planned(series)
    lot = GlazeBatchFactory(glaze=layer_of(first).glaze)
    boxes = {
        f"coats-{layer_of(second).pk}": "2",
        f"note-{second.pk}": "dropped, edge chipped",
        f"batch-{lot.glaze_id}": lot.pk,
        f"gravity-{lot.glaze_id}": "1.5",
        f"tool-{lot.glaze_id}": "mop",
    }

    answer = recorder_client.post(
        f"/glazing/sheet/?series={series.pk}", typed(first, second, **boxes), follow=True
    )

    assert "2 tiles are noted as glazed" in answer.content.decode()
    first, second = Tile.objects.get(pk=first.pk), Tile.objects.get(pk=second.pk)
    assert (str(first.glazed_on), first.glazed_by, second.note) == (
        "2026-05-04",
        recorder,
        "dropped, edge chipped",
    )
    assert set(Coverage.objects.filter(layer__tile=second).values_list("coats", flat=True)) == {2}
    assert list(
        Coverage.objects.filter(layer__tile=first).order_by("zone__position").values_list("coats", flat=True)
    ) == [1, 2, 3]
    layer = layer_of(first)
    assert (layer.batch, layer.tool, layer_of(second).batch) == (lot, "mop", None)


def undo_in(answer) -> str:
    """Where the button of the message posts to."""
    found = re.search(r'action="(/history/tiles/tile/take-back/[^"]+)"', answer.content.decode())
    assert found
    return unescape(found[1])


def test_a_sheet_that_was_noted_is_taken_back_in_one_step(recorder_client: Client, series):
    first, second = planned(series), planned(series)
    boxes = {f"coats-{layer_of(second).pk}": "2 - 1", f"note-{second.pk}": "chipped"}
    answer = recorder_client.post(
        f"/glazing/sheet/?series={series.pk}", typed(first, second, **boxes), follow=True
    )
    again = recorder_client.post(undo_in(answer), follow=True)

    assert "2 tiles as before." in again.content.decode()
    assert again.redirect_chain[-1][0] == f"/glazing/sheet/?series={series.pk}"
    for tile in Tile.objects.filter(series=series):
        assert (tile.glazed_on, tile.glazed_by, tile.note) == (None, None, "")
        coats = Coverage.objects.filter(layer__tile=tile).order_by("zone__position")
        assert list(coats.values_list("coats", flat=True)) == [1, 2, 3]


def test_what_was_changed_or_fired_after_the_sheet_stays_when_it_is_taken_back(
    recorder_client: Client, series
):
    alone, changed, fired = planned(series), planned(series), planned(series)
    answer = recorder_client.post(
        f"/glazing/sheet/?series={series.pk}", typed(alone, changed, fired), follow=True
    )
    changed = Tile.objects.get(pk=changed.pk)
    changed.note = "chipped since"
    changed.save()
    PlacementFactory(tile=fired)

    page = recorder_client.post(undo_in(answer), follow=True).content.decode()

    assert "1 tile as before." in page
    assert f"left so: {changed.label} and {fired.label}." in page
    assert list(Tile.objects.filter(glazed_on=None)) == [alone]
    assert Tile.objects.get(pk=changed.pk).note == "chipped since"


def test_a_viewer_takes_no_sheet_back(recorder_client: Client, viewer_client: Client, series):
    tile = planned(series)
    undo = undo_in(recorder_client.post(f"/glazing/sheet/?series={series.pk}", typed(tile), follow=True))

    assert viewer_client.post(undo).status_code == 403
    assert Tile.objects.get(pk=tile.pk).glazed_on is not None


def test_a_zone_left_out_is_bare(recorder_client: Client, series):
    tile = planned(series)

    recorder_client.post(
        f"/glazing/sheet/?series={series.pk}", typed(tile, **{f"coats-{layer_of(tile).pk}": "1 - 3"})
    )

    names = Coverage.objects.filter(layer__tile=tile).values_list("zone__name", flat=True)
    assert sorted(names) == ["band 1", "band 3"]


def test_one_wrong_box_keeps_the_whole_sheet_on_the_page(recorder_client: Client, series):
    first, second = planned(series), planned(series)
    boxes = {f"coats-{layer_of(first).pk}": "1 2", f"note-{second.pk}": "thin at the rim"}

    answer = recorder_client.post(f"/glazing/sheet/?series={series.pk}", typed(first, second, **boxes))

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "One figure for all, or 3 of them" in page
    assert 'value="1 2"' in page
    assert "thin at the rim" in page
    assert not Tile.objects.filter(glazed_on__isnull=False).exists()


def test_what_needs_another_look_is_listed_above_the_sheet_with_its_box(recorder_client: Client, series):
    tiles = [planned(series) for _ in range(3)]
    wrong = layer_of(tiles[2])

    answer = recorder_client.post(
        f"/glazing/sheet/?series={series.pk}", typed(*tiles, **{f"coats-{wrong.pk}": "22"})
    )

    page = answer.content.decode()
    assert f'<a href="#id_coats-{wrong.pk}">{tiles[2].label}: {wrong.glaze}' in page
    assert page.index("Nothing was kept yet") < page.index("Glazed on")


def test_a_coat_tapped_before_the_sheet_was_typed_in_offers_no_coat_more(recorder_client: Client, series):
    tile = planned(series)
    tap(recorder_client, layer_of(tile), 1)
    tile.refresh_from_db()
    recorder_client.post(f"/glazing/sheet/?series={series.pk}", typed(tile))

    page = recorder_client.get(f"/glazing/now/?series={series.pk}").content.decode()
    assert "One coat more is on" not in page
    assert "Take it back" not in page
    assert "coats left as it was planned" in more(recorder_client, layer_of(tile), 2)
    assert coats_on(tile) == [1, 2, 3]


def test_tiles_without_a_tick_stay_as_they_are(recorder_client: Client, series):
    first, second = planned(series), planned(series)
    sheet = typed(first, second)
    del sheet[f"on-{second.pk}"]

    recorder_client.post(f"/glazing/sheet/?series={series.pk}", sheet)

    assert list(Tile.objects.filter(glazed_on__isnull=False)) == [first]


def test_a_tile_changed_by_somebody_else_keeps_the_whole_sheet_waiting(recorder_client: Client, series):
    first, second = planned(series), planned(series)
    sheet = typed(first, second)
    second.save()

    answer = recorder_client.post(f"/glazing/sheet/?series={series.pk}", sheet)

    assert answer.status_code == 422
    assert f"Somebody changed {second.label} meanwhile" in answer.content.decode()
    assert not Tile.objects.filter(glazed_on__isnull=False).exists()


def test_home_tells_of_tiles_to_glaze(recorder_client: Client, series):
    planned(series)

    page = recorder_client.get("/").content.decode()

    assert "Glaze 1 tile" in page
    assert "/glazing/" in page


def test_a_number_without_its_check_digit_in_the_address_is_explained_and_none_is_left_out(recorder_client):
    tile = glaze_tile(TileFactory(number=1042), (GlazeFactory(), {"band 1": 1}))

    page = recorder_client.get(f"/glazing/now/?tiles={tile.label},1043", follow=True)

    assert page.status_code == 422
    assert "1043-2" in page.content.decode()
    assert f'value="{tile.label},1043"' in page.content.decode()


def test_of_a_series_to_be_glazed_glazing_is_the_first_thing_offered(recorder_client: Client, series):
    planned(series)
    page = recorder_client.get(series.get_absolute_url()).content.decode()

    assert page.index("button--main") < page.index("Glaze 1 now") < page.index("New tiles for it")
    assert "button--main" not in page[page.index("Glaze 1 now") : page.index("New tiles for it")]

"""Pages of the planner: a plan drawn up, kept, made, undone; what exists counts; mistakes lose nothing."""

from decimal import Decimal

import pypdfium2
import pytest
from django.urls import reverse

from tests.counting import queries_of
from tests.factories import (
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.planner.conftest import CONES
from tiles.models import Glaze, GlazeBatch, Layer, Series, Tile
from tiles.planner.queries import spread_of
from tiles.plans.sketch import Sketch

NEW = reverse("tiles:planner:new")


def plan_of(series):
    return reverse("tiles:planner:plan", args=[series.pk])


def totals(client, typed):
    return client.post(
        reverse("tiles:planner:totals"), typed, headers={"HX-Request": "true"}
    ).content.decode()


def made(client, series):
    answer = client.post(reverse("tiles:planner:make", args=[series.pk]), {"stamp": series.stamp})
    series.refresh_from_db()
    return answer


def test_a_plan_is_kept_and_gone_on_with(bench, recorder_client):
    answer = recorder_client.post(NEW, bench.typed())

    series = Series.objects.get()
    assert answer.url == plan_of(series)
    assert Tile.objects.count() == 0
    page = recorder_client.get(plan_of(series))
    assert page.context["form"]["cones"].value() == "5, 6, 10"
    assert "No smaller set does it." in page.content.decode()


def test_what_it_comes_to_follows_as_one_types(bench, recorder_client):
    words = totals(recorder_client, bench.typed(name=""))

    # Bodies by cones is nine, and the bands carry the coats.
    assert '<span class="plan-figure">9</span>' in words
    assert "45 results to judge" in words
    assert "3 glaze, 1 bisque" in words
    assert Series.objects.count() == 0
    assert '<span class="plan-figure">36</span>' in totals(recorder_client, bench.typed(way="all"))


def test_what_is_still_to_choose_is_said(bench, recorder_client):
    words = totals(recorder_client, bench.typed(glaze=[], coats=""))

    assert "Still to choose: a glaze and the numbers of coats." in words


def test_a_slip_is_named_with_its_field_while_one_types(bench, recorder_client):
    words = totals(recorder_client, bench.typed(cones="5, 66", name=""))

    assert "The plan cannot be worked out yet. Cones: " in words
    assert "66" in words


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"coats": "many"}, "is not a number of coats"),
        ({"coats": "3 to 1"}, "falls"),
        ({"cones": "5, 99"}, "is not a cone"),
        ({"holds": "-5"}, "is not a number of minutes"),
        ({"copies": "0"}, "Write a whole number, 1 to 10."),
        ({"waste_pct": "a lot"}, "is not a figure"),
        ({"name": ""}, "Fill this in."),
        ({"rule_level": "body|1"}, "A rule needs both"),
        ({"rule_level": "body|1", "rule_bound": "cone|" + "9" * 99}, "A rule needs both"),
        ({"rule_level": "body|" + "9" * 99, "rule_bound": "cone|30"}, "A rule needs both"),
        ({"rule_level": "body|1", "rule_verb": "beside"}, "A rule needs both"),
        (
            {"rule_level": "body|1", "rule_verb": "above", "rule_bound": "atmosphere|oxidation"},
            "Above and below go",
        ),
    ],
)
def test_a_mistake_is_said_and_nothing_typed_is_lost(bench, recorder_client, changes, says):
    answer = recorder_client.post(NEW, bench.typed(**changes))

    assert answer.status_code == 422
    page = answer.content.decode()
    assert says in page
    assert "How far may it go?" in page
    assert f'name="glaze" value="{bench.harbour.pk}" checked' in " ".join(page.split())
    assert Series.objects.count() == 0


def test_a_rule_from_the_menus_stands_in_plain_words(bench, recorder_client):
    dune = bench.bodies[1]
    rule = {"rule_level": f"body|{dune.pk}", "rule_verb": "above", "rule_bound": f"cone|{CONES['6']}"}

    page = recorder_client.post(NEW, bench.typed(do="show", **rule)).content.decode()

    assert "Dune speckled never above cone 6" in page
    recorder_client.post(NEW, bench.typed(rule=[f"body|{dune.pk}|above|cone|{CONES['6']}"]))
    series = Series.objects.get()
    made(recorder_client, series)
    orders = set(Tile.objects.filter(body=dune).values_list("planned_order", flat=True))
    assert orders == {CONES["5"], CONES["6"]}


def test_a_body_that_matures_lower_suggests_its_rule(bench, recorder_client):
    dune = bench.bodies[1]
    dune.cone_low_order, dune.cone_high_order = CONES["5"], CONES["6"]
    dune.save()

    page = recorder_client.post(NEW, bench.typed(do="show")).content.decode()

    assert "Dune speckled never above cone 6" in page
    assert "suggested" in page


def test_a_body_that_is_always_held_suggests_its_rule(bench, recorder_client):
    bench.bodies[0].default_hold_min = 10
    bench.bodies[0].save()

    page = recorder_client.post(NEW, bench.typed(do="show", holds="0, 10")).content.decode()

    assert "Quay white never below 10 min hold" in page


def test_a_plan_that_lacks_something_is_kept_though_nothing_is_made(bench, recorder_client):
    page = recorder_client.post(NEW, bench.typed(body=[], do="make"), follow=True).content.decode()

    assert "The plan is kept, but no tile is made. Still to choose: a clay body." in page
    assert Series.objects.count() == 1
    assert Tile.objects.count() == 0


def test_making_gives_numbers_cones_layers_and_the_series(bench, kept, recorder_client):
    answer = made(recorder_client, kept)

    assert answer.url == kept.get_absolute_url()
    tiles = list(Tile.objects.order_by("number"))
    assert len(tiles) == 9
    assert {tile.series for tile in tiles} == {kept}
    assert {(tile.body_id, tile.planned_order) for tile in tiles} == {
        (body.pk, order) for body in bench.bodies for order in CONES.values()
    }
    assert all(tile.glazed_on is None for tile in tiles)
    for tile in tiles:
        own = tile.layers.get(glaze=bench.harbour)
        coats = {cover.zone.name: cover.coats for cover in own.coverages.select_related("zone")}
        assert coats == {"band 1": 1, "band 2": 2, "band 3": 3, "texture": 3, "back": 3}
    stacks = {tuple(layer.glaze.name for layer in tile.layers.all()) for tile in tiles}
    assert stacks == {
        ("Harbour",),
        ("Flux L", "Harbour"),
        ("Harbour", "Flux L"),
        ("Flux L", "Harbour", "Flux L"),
    }


def test_numbers_run_in_the_random_order_and_each_tile_knows_where_to_stand(bench, kept, recorder_client):
    Series.objects.filter(pk=kept.pk).update(plan={**kept.plan, "kiln": str(bench.kiln.pk)})
    kept.refresh_from_db()

    made(recorder_client, kept)

    spots = spread_of(kept)
    assert sorted(spots) == list(Tile.objects.order_by("number").values_list("number", flat=True))
    assert [spot.place for _, spot in sorted(spots.items())] == list(range(1, 10))
    assert {spot.firing for spot in spots.values()} == {1, 2, 3}
    assert {spot.shelf for spot in spots.values()} == {1, 2}
    orders = Tile.objects.order_by("number").values_list("planned_order", flat=True)
    assert list(orders) != sorted(orders)


def test_a_making_is_undone_in_one_step_and_can_be_made_again(kept, recorder_client):
    made(recorder_client, kept)
    page = recorder_client.get(kept.get_absolute_url()).content.decode()
    undo = reverse("tiles:planner:unmake", args=[kept.pk])
    assert undo in page

    recorder_client.post(undo)

    kept.refresh_from_db()
    assert Tile.objects.count() == 0
    assert Tile.everything.count() == 9
    assert kept.plan["made"] == []
    made(recorder_client, kept)
    assert Tile.objects.count() == 9


def test_what_was_made_is_not_made_twice(kept, recorder_client):
    made(recorder_client, kept)
    stamp = kept.stamp

    recorder_client.post(reverse("tiles:planner:make", args=[kept.pk]), {"stamp": stamp})

    assert Tile.objects.count() == 9


def test_a_stale_press_makes_nothing(kept, recorder_client):
    recorder_client.post(
        reverse("tiles:planner:make", args=[kept.pk]), {"stamp": kept.stamp + 1}, follow=True
    )

    assert Tile.objects.count() == 0


def test_save_and_make_in_one_press(bench, recorder_client):
    recorder_client.post(NEW, bench.typed(do="make"))

    assert Tile.objects.count() == 9


def test_fired_tiles_count_and_are_shown(bench, recorder_client):
    tile = TileFactory(form=bench.form, body=bench.bodies[0])
    glaze_tile(tile, (bench.harbour, {"band 1": 1, "band 2": 2, "band 3": 3}))
    firing = FiringFactory(
        state="unloaded",
        target_order=CONES["6"],
        reached_order=CONES["6"],
        reached_number=Decimal(6),
        reached_source="witness",
        started_at="2026-10-14T08:00Z",
    )
    fired_outcomes(tile, firing)
    typed = bench.typed(under=["none"], over=["none"], way="all")

    words = totals(recorder_client, typed)

    assert '<span class="plan-figure">8</span>' in words
    assert "3 that exist count" in words
    assert tile.label in words
    assert '<span class="plan-figure">9</span>' in totals(recorder_client, {**typed, "existing_counts": ""})


def test_a_tile_on_another_form_counts_unless_the_form_varies(bench, recorder_client):
    other = TileFactory(body=bench.bodies[0], planned_order=CONES["6"])
    glaze_tile(other, (bench.harbour, {"band 2": 2}))
    typed = bench.typed(under=["none"], over=["none"])

    assert "1 that exist count" in totals(recorder_client, typed)
    both = bench.form.pk, TileFactory().form.pk
    assert "that exist count" not in totals(recorder_client, {**typed, "form": both})


def test_more_coats_of_flux_than_the_plan_says_do_not_count(bench, recorder_client):
    tile = TileFactory(form=bench.form, body=bench.bodies[0], planned_order=CONES["6"])
    glaze_tile(tile, (bench.flux, {"band 1": 2}), (bench.harbour, {"band 1": 1}))

    assert "that exist count" not in totals(recorder_client, bench.typed())
    assert "1 that exist count" in totals(recorder_client, bench.typed(under_coats="2"))


def test_a_triaxial_blend_comes_into_the_catalogue_with_what_to_weigh(bench, recorder_client):
    glazes = [bench.harbour, GlazeFactory(name="Lintel"), GlazeFactory(name="Moss")]
    typed = bench.typed(
        glaze=[],
        mix=[glaze.pk for glaze in glazes],
        mix_steps="2",
        mix_batch_g="90",
        coats="2",
        body=[bench.bodies[0].pk],
        cones="6",
        under=["none"],
        over=["none"],
        side_by_side=["coats", "glaze"],
    )
    words = totals(recorder_client, typed)
    assert "Harbour 50 + Lintel 50" in words
    assert "the plan takes" in words

    recorder_client.post(NEW, {**typed, "do": "make"})

    # Six points of a simplex lattice of two steps on tiles of three bands.
    assert Tile.objects.count() == 2
    mixes = Glaze.objects.filter(maker="mixed here")
    assert {mix.name for mix in mixes} == {
        "Harbour 50 + Lintel 50",
        "Harbour 50 + Moss 50",
        "Lintel 50 + Moss 50",
    }
    assert "Harbour 45 g, Lintel 45 g" in mixes.get(name__contains="Harbour 50 + Lintel").note
    assert GlazeBatch.objects.filter(glaze__in=mixes, mixed_here=True).count() == 3
    recorder_client.post(reverse("tiles:planner:unmake", args=[Series.objects.get().pk]))
    assert not Glaze.objects.filter(maker="mixed here").exists()


def test_a_dip_is_counted_in_seconds(bench, recorder_client):
    recorder_client.post(
        NEW, bench.typed(method=["dip"], coats="2, 4", under=["none"], over=["none"], do="make")
    )

    layer = Layer.objects.first()
    assert layer.method == "dip"
    assert {float(cover.dip_s) for cover in layer.coverages.all()} == {2, 4}


def test_lots_are_those_of_the_glaze(bench, recorder_client):
    lots = [GlazeBatchFactory(glaze=bench.harbour, lot=lot) for lot in ("24-1", "24-2")]

    recorder_client.post(NEW, bench.typed(lot=[lot.pk for lot in lots], do="make"))

    own = Layer.objects.filter(glaze=bench.harbour)
    assert set(own.values_list("batch", flat=True)) == {lot.pk for lot in lots}
    assert not Layer.objects.filter(glaze=bench.flux, batch__isnull=False).exists()


def test_atmosphere_and_hold_are_kept_on_the_tile(bench, recorder_client):
    recorder_client.post(
        NEW, bench.typed(atmosphere=["oxidation", "reduction"], holds="0, 10", cones="6", do="make")
    )

    seen = set(Tile.objects.values_list("planned_atmosphere", "planned_hold_min"))
    assert seen == {(a, hold) for a in ("oxidation", "reduction") for hold in (0, 10)}


def test_the_address_fills_the_plan(bench, recorder_client):
    asked = (
        f"?glaze={bench.harbour.pk}&body={bench.bodies[0].pk}&body={bench.bodies[2].pk}&cone=28&cone=30&coats=2&coats=3"
        f"&over={bench.flux.pk}&atmosphere=oxidation&hold=10&form={bench.form.pk}&glaze=999999&cone=x&coats=77"
    )

    sketch = recorder_client.get(NEW + asked).context["form"].sketch

    assert sketch.levels == {
        "glaze": (str(bench.harbour.pk),),
        "under": ("none",),
        "over": (str(bench.flux.pk),),
        "coats": ("2", "3"),
        "body": (str(bench.bodies[0].pk), str(bench.bodies[2].pk)),
        "form": (str(bench.form.pk),),
        "cone": ("28", "30"),
        "atmosphere": ("oxidation",),
        "hold": ("10",),
    }


def test_a_plan_begins_the_same_as_another_series(bench, kept, recorder_client):
    page = recorder_client.get(NEW, {"series": kept.pk, "glaze": GlazeFactory(name="Lintel").pk})

    form = page.context["form"]
    assert form["name"].value() == "Harbour, new 2"
    assert form.sketch.levels["cone"] == ("28", "30", "34")
    assert form.sketch.levels["glaze"] == (str(Glaze.objects.get(name="Lintel").pk),)


def test_a_name_that_is_taken_leads_to_the_series_that_bears_it(bench, kept, recorder_client):
    page = recorder_client.post(NEW, bench.typed(name=kept.name.upper())).content.decode()

    assert "There is one of this name already" in page
    assert f'<a href="{kept.get_absolute_url()}" target="_blank">{kept.name}</a>' in page
    assert Series.objects.count() == 1


def test_a_series_without_a_plan_is_planned_from_its_tiles(bench, recorder_client):
    series = Series.objects.create(name="Old")
    tile = TileFactory(form=bench.form, body=bench.bodies[1], series=series, planned_order=CONES["6"])
    glaze_tile(tile, (bench.harbour, {"band 1": 1, "band 2": 2}))

    sketch = recorder_client.get(plan_of(series)).context["form"].sketch

    assert sketch.levels["body"] == (str(bench.bodies[1].pk),)
    assert sketch.levels["coats"] == ("1", "2")


def test_two_who_change_a_plan_see_both_versions(bench, kept, recorder_client):
    stamp = kept.stamp
    recorder_client.post(plan_of(kept), bench.typed(stamp=stamp, cones="5, 6"))

    answer = recorder_client.post(plan_of(kept), bench.typed(stamp=stamp, cones="5, 10"))

    assert answer.status_code == 409
    page = answer.content.decode()
    assert "cone 5, cone 10" in page
    assert "cone 5, cone 6" in page
    kept.refresh_from_db()
    assert kept.plan["levels"]["cone"] == ["28", "30"]
    again = bench.typed(stamp=kept.stamp, cones="5, 10")
    assert recorder_client.post(plan_of(kept), again).status_code == 302


def test_a_plan_of_a_later_version_is_left_alone(kept, recorder_client):
    Series.objects.filter(pk=kept.pk).update(plan={"version": 99})

    page = recorder_client.get(plan_of(kept), follow=True)

    assert "version 99" in page.content.decode()
    kept.refresh_from_db()
    assert kept.plan == {"version": 99}


def test_another_order_is_drawn_on_asking(bench, recorder_client):
    page = recorder_client.post(NEW, bench.typed(do="shuffle"))

    assert page.context["form"].sketch.seed != 4711
    assert page.context["form"]["name"].value() == "Harbour, new"


def test_at_most_so_many_tiles(bench, recorder_client):
    words = totals(recorder_client, bench.typed(most="4"))

    assert '<span class="plan-figure">4</span>' in words
    assert "5 more tiles would show all" in words


def test_the_cost_is_told_by_the_prices(bench, recorder_client):
    words = totals(recorder_client, bench.typed(firing_price="12,50"))

    assert '<span class="plan-figure">50.00</span>' in words


def test_the_sheet_lists_the_tiles_in_the_order_to_make_them(kept, recorder_client):
    made(recorder_client, kept)

    answer = recorder_client.get(reverse("tiles:planner:sheet", args=[kept.pk]))

    assert answer["Content-Type"] == "application/pdf"
    pages = pypdfium2.PdfDocument(answer.content)
    words = " ".join(page.get_textpage().get_text_range() for page in pages)
    places = [words.index(tile.label) for tile in Tile.objects.order_by("number")]
    assert places == sorted(places)
    assert "Harbour, new" in words
    assert "Harbour ×3" in words.replace("\xa0", " ")


def test_a_viewer_sees_no_planner(viewer_client):
    assert viewer_client.get(NEW).status_code == 403


def test_pages_ask_as_often_with_more_in_the_catalogue_and_more_tiles(bench, kept, recorder_client):
    made(recorder_client, kept)
    recorder_client.get(plan_of(kept))
    before = queries_of(recorder_client, plan_of(kept))
    for count in range(5):
        tile = TileFactory(form=bench.form, body=bench.bodies[0], planned_order=CONES["6"])
        glaze_tile(tile, (bench.harbour, {"band 1": 1 + count}))
        GlazeBatchFactory(glaze=bench.harbour)

    assert queries_of(recorder_client, plan_of(kept)) == before


def test_a_kept_plan_reads_as_it_was_typed(bench, kept):
    sketch = Sketch.from_json(kept.plan)

    assert sketch.levels["under"] == ("none", str(bench.flux.pk))
    assert sketch.seed == 4711

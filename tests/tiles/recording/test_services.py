"""Tiles made from recipes and changed, with their history and their results."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from threading import Barrier, Thread

import pytest
from django.db import connection
from django.test import TransactionTestCase

from firings.models import StaleEdit
from studio.people.services import add_person
from studio.roles import Role
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    PlacementFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
)
from tiles import numbers
from tiles.conditions import services as conditions
from tiles.models import Coverage, Layer, Outcome, Tile
from tiles.recording import queries, services
from tiles.recording.grid import Amount, Cover, LayerRecipe, Recipe
from tiles.vocabulary import Face, ZoneKind


def cover(coats, **more):
    return Cover(Amount(coats=coats), **more)


def recipe(*layers, **more):
    facts = {
        "form_id": TileFormFactory().pk,
        "body_id": ClayBodyFactory().pk,
        "glazed_on": date(2026, 10, 12),
    }
    return Recipe(**{**facts, **more}, layers=layers)


def layer(glaze=None, key="", **coats):
    by_zone = {name.replace("_", " "): cover(number) for name, number in coats.items()}
    return LayerRecipe((glaze or GlazeFactory()).pk, by_zone, key=key)


def read_back(tile):
    return queries.for_drawing(Tile.objects.filter(pk=tile.pk)).get()


def keyless(found):
    return replace(found, layers=tuple(replace(each, key="") for each in found.layers))


@pytest.mark.django_db
class TestMaking:
    def test_a_tile_says_what_its_recipe_said(self, recorder):
        made = recipe(
            layer(band_3=1, texture=1),
            replace(
                layer(band_1=1, back=3),
                covers={"band 1": cover(1, wet_mass_g=Decimal("2.41"), thickness_mm=Decimal("0.30"))},
                method="spray",
                tool="1.5 mm nozzle",
                specific_gravity=Decimal("1.460"),
            ),
            body_lot="D-12",
            planned_order=30,
            note="on the thick batch",
        )
        [tile] = services.glaze_tiles([made], by=recorder)

        assert keyless(queries.recipe_of(read_back(tile))) == replace(made, number=tile.number)
        assert (tile.created_by, tile.glazed_by) == (recorder, recorder)

    def test_a_bare_tile_is_a_tile(self, recorder):
        [tile] = services.glaze_tiles([recipe(glazed_on=None)], by=recorder)

        assert (tile.layers.count(), tile.zones.count(), tile.glazed_by) == (0, 5, None)

    def test_zones_are_the_forms_as_they_are_at_making(self, recorder):
        [tile] = services.glaze_tiles([recipe()], by=recorder)

        assert [(zone.name, zone.face, zone.textured, zone.area_cm2) for zone in tile.zones.all()] == [
            ("band 1", "front", False, Decimal("12.00")),
            ("band 2", "front", False, Decimal("12.00")),
            ("band 3", "front", False, Decimal("12.00")),
            ("texture", "front", True, Decimal("12.00")),
            ("back", "back", False, Decimal("48.00")),
        ]

    def test_what_is_made_at_once_has_its_history(self, recorder):
        services.glaze_tiles([recipe(layer(band_1=1)), recipe(layer(back=2))], by=recorder)

        for model in (Tile, Layer, Coverage):
            assert [entry.history_user for entry in model.history.all()] == [recorder, recorder]

    def test_forty_tiles_are_made_in_as_few_questions_as_one(self, recorder, django_assert_max_num_queries):
        # One tile takes 12; the rest is what SQLite's limit of parameters splits.
        pattern = recipe(layer(band_1=1, back=3), layer(band_2=2, texture=1))
        with django_assert_max_num_queries(20):
            services.glaze_tiles([pattern] * 40, by=recorder)

        assert Coverage.objects.count() == 4 * 40

    def test_numbers_run_on_from_the_highest_and_leave_out_those_typed(self, recorder):
        TileFactory(number=1042)
        plain = recipe()
        made = services.glaze_tiles([plain, replace(plain, number=1044), plain], by=recorder)

        assert [tile.number for tile in made] == [1043, 1044, 1045]

    def test_a_number_in_the_bin_is_not_given_again(self, recorder):
        TileFactory(number=1042).put_in_bin(by=recorder)
        with pytest.raises(services.NumbersTaken) as refused:
            services.glaze_tiles([recipe(number=1042)], by=recorder)

        assert refused.value.taken == [1042]
        assert services.glaze_tiles([recipe()], by=recorder)[0].number == 1043

    def test_past_the_highest_number_the_gaps_are_filled(self, recorder):
        TileFactory(number=numbers.HIGHEST)
        TileFactory(number=numbers.FIRST)

        assert services.glaze_tiles([recipe()], by=recorder)[0].number == numbers.FIRST + 1

    def test_all_or_none_are_made(self, recorder):
        TileFactory(number=1042)
        with pytest.raises(services.NumbersTaken):
            services.glaze_tiles([recipe(), recipe(number=1042)], by=recorder)

        assert Tile.objects.count() == 1


@pytest.mark.django_db
class TestChanging:
    @pytest.fixture
    def tile(self, recorder):
        [made] = services.glaze_tiles([recipe(layer(band_1=1, back=2), layer(band_2=2))], by=recorder)
        return read_back(made)

    def test_layers_change_places_and_keep_their_history(self, tile, recorder):
        found = queries.recipe_of(tile)
        services.change_tile(tile.pk, tile.stamp, replace(found, layers=found.layers[::-1]), by=recorder)
        again = queries.recipe_of(read_back(tile))

        assert [each.key for each in again.layers] == [each.key for each in found.layers[::-1]]
        assert Layer.history.filter(id=int(found.layers[0].key)).count() == 2

    def test_what_stays_the_same_leaves_no_trace_but_the_tiles_own(self, tile, recorder):
        services.change_tile(tile.pk, tile.stamp, queries.recipe_of(tile), by=recorder)

        assert (Layer.history.count(), Coverage.history.count()) == (2, 3)
        assert read_back(tile).stamp == tile.stamp + 1

    def test_a_layer_is_added_changed_and_taken_out(self, tile, recorder):
        below, above = queries.recipe_of(tile).layers
        thicker = replace(above, covers={"band 2": cover(4), "texture": cover(1)})
        new = layer(band_3=3)
        changed = replace(queries.recipe_of(tile), layers=(thicker, new))
        services.change_tile(tile.pk, tile.stamp, changed, by=recorder)
        found = queries.recipe_of(read_back(tile))

        assert [dict(each.covers) for each in found.layers] == [dict(thicker.covers), dict(new.covers)]
        assert Layer.history.filter(id=int(below.key), history_type="-").get().history_user == recorder

    def test_a_stale_edit_is_refused_and_changes_nothing(self, tile, recorder, keeper):
        found = queries.recipe_of(tile)
        services.change_tile(tile.pk, tile.stamp, replace(found, note="theirs"), by=keeper)
        with pytest.raises(StaleEdit):
            services.change_tile(tile.pk, tile.stamp, replace(found, note="mine", layers=()), by=recorder)

        assert (read_back(tile).note, tile.layers.count()) == ("theirs", 2)

    def test_results_follow_the_layers(self, tile, recorder):
        fired_outcomes(tile, FiringFactory(fired=True))
        found = queries.recipe_of(tile)
        thicker = replace(found.layers[0], covers={"band 1": cover(5), "back": cover(2)})
        services.change_tile(
            tile.pk, tile.stamp, replace(found, layers=(thicker, found.layers[1])), by=recorder
        )
        outcome = Outcome.objects.get(zone__name="band 1")

        assert outcome.coats_top == 5
        assert conditions.refresh_tiles([tile.pk]) == 0

    def test_a_zone_newly_glazed_can_be_judged_and_one_newly_bare_need_not_be(self, tile, recorder):
        placement = PlacementFactory(tile=tile)
        conditions.make_outcomes([placement.pk])
        found = queries.recipe_of(tile)
        moved = replace(found.layers[0], covers={"band 3": cover(1), "back": cover(2)})
        services.change_tile(
            tile.pk, tile.stamp, replace(found, layers=(moved, found.layers[1])), by=recorder
        )

        assert {outcome.zone.name for outcome in Outcome.objects.all()} == {"band 2", "band 3", "back"}

    def test_a_layer_put_on_for_a_refiring_is_not_in_the_first_result(self, tile, recorder):
        fired_outcomes(tile, FiringFactory(fired=True))
        found = queries.recipe_of(tile)
        later = replace(layer(band_1=2), after_firings=1)
        services.change_tile(tile.pk, tile.stamp, replace(found, layers=(*found.layers, later)), by=recorder)

        assert Outcome.objects.get(zone__name="band 1").layer_count == 1

    def test_a_tile_not_yet_in_a_firing_may_turn_out_to_be_of_another_form(self, tile, recorder):
        other = TileFormFactory(zones=[("inside", ZoneKind.WHOLE, Face.FRONT, False, 5, 5, 40, 40)])
        changed = replace(queries.recipe_of(tile), form_id=other.pk, layers=(layer(inside=2),))
        services.change_tile(tile.pk, tile.stamp, changed, by=recorder)

        assert [zone.name for zone in read_back(tile).zones.all()] == ["inside"]

    def test_a_tile_with_results_keeps_its_form(self, tile, recorder):
        PlacementFactory(tile=tile)
        other = TileFormFactory()
        with pytest.raises(services.FormFixed):
            services.change_tile(
                tile.pk, tile.stamp, replace(queries.recipe_of(tile), form_id=other.pk), by=recorder
            )

    def test_tiles_go_to_the_bin_and_come_back(self, tile, recorder):
        services.bin_tiles([tile], by=recorder)
        assert not Tile.objects.exists()

        services.unbin_tiles(Tile.everything.all(), by=recorder)
        assert Tile.objects.get() == tile


class TestTwoPeopleAtOnce(TransactionTestCase):
    """On the studio's own kind of database, with a connection for each person."""

    PEOPLE, EACH = 4, 5

    def test_tiles_made_at_the_same_moment_never_share_a_number(self):
        pattern = recipe(layer(band_1=1))
        people = [add_person(f"Person {n}", Role.RECORDER) for n in range(self.PEOPLE)]
        start, failed = Barrier(self.PEOPLE), []

        def glaze(person):
            start.wait()
            try:
                for _ in range(self.EACH):
                    services.glaze_tiles([pattern] * 3, by=person)
            except Exception as trouble:
                failed.append(trouble)
            finally:
                connection.close()

        threads = [Thread(target=glaze, args=(person,)) for person in people]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        given = sorted(Tile.objects.values_list("number", flat=True))

        assert failed == []
        assert given == list(range(numbers.FIRST, numbers.FIRST + 3 * self.PEOPLE * self.EACH))

    def test_a_typed_number_goes_to_one_of_two(self):
        pattern = recipe(number=1042)
        people = [add_person(f"Person {n}", Role.RECORDER) for n in range(2)]
        start, refused = Barrier(2), []

        def glaze(person):
            start.wait()
            try:
                services.glaze_tiles([pattern], by=person)
            except services.NumbersTaken as taken:
                refused.append(taken.taken)
            finally:
                connection.close()

        threads = [Thread(target=glaze, args=(person,)) for person in people]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

        assert refused == [[1042]]
        assert Tile.objects.count() == 1

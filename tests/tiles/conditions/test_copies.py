"""The copy of conditions on an outcome: true after every change, and proved so by a command."""

from datetime import date
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from firings import listeners
from firings.models import Firing
from firings.vocabulary import FiringState
from tests.factories import (
    CONE_5,
    CONE_6,
    ClayBodyFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    ShelfFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.conditions import services as conditions
from tiles.conditions.line import conditions_line
from tiles.conditions.queries import conditions_of
from tiles.models import Coverage, Outcome, StackedLayer, Tile

pytestmark = pytest.mark.django_db


@pytest.fixture
def harbour():
    return GlazeFactory(name="Harbour")


@pytest.fixture
def flux():
    return GlazeFactory(name="Flux L")


@pytest.fixture
def tile(harbour, flux):
    tile = TileFactory(body=ClayBodyFactory(name="Dune"))
    return glaze_tile(tile, (flux, {"band 3": 1}), (harbour, {"band 1": 1, "band 2": 2, "band 3": 3}))


def lines(outcomes: list[Outcome]) -> list[str]:
    return [conditions_line(conditions_of(outcome)) for outcome in outcomes]


def check() -> str:
    answer = StringIO()
    call_command("check_conditions", stdout=answer)
    return answer.getvalue()


def test_a_placed_tile_has_one_outcome_for_each_glazed_zone(tile):
    outcomes = fired_outcomes(tile, FiringFactory(fired=True))

    assert [outcome.zone.name for outcome in outcomes] == ["band 1", "band 2", "band 3"]
    assert [outcome.coats_total for outcome in outcomes] == [1, 2, 4]
    assert [outcome.coats_top for outcome in outcomes] == [1, 2, 3]
    assert [outcome.layer_count for outcome in outcomes] == [1, 1, 2]


def test_making_outcomes_twice_makes_none_twice(tile):
    outcomes = fired_outcomes(tile, FiringFactory(fired=True))

    assert conditions.make_outcomes([outcomes[0].placement_id]) == []
    assert Outcome.objects.count() == 3


def test_the_copy_says_what_the_records_say(tile, harbour):
    firing = FiringFactory(fired=True, kiln__name="Oriel", hold_min=10)
    shelf = ShelfFactory(kiln=firing.kiln, position=3)
    batch = GlazeBatchFactory(glaze=harbour, lot="24-118")
    tile.layers.filter(glaze=harbour).update(batch=batch)

    outcomes = fired_outcomes(tile, firing, shelf=shelf, place="front")

    assert lines(outcomes)[2] == (
        "3 coats Harbour (lot 24-118) brushed over 1 coat Flux L, on Dune; "
        "target cone 6, oxidation, 10 min hold; kiln Oriel, shelf 3 front; 14 Oct 2026"
    )
    assert outcomes[2].fired_on == date(2026, 10, 14)
    assert outcomes[2].lots == "24-118"


def test_a_firing_not_yet_fired_gives_no_date(tile):
    outcomes = fired_outcomes(tile, FiringFactory())

    assert outcomes[0].fired_on is None
    assert Outcome.objects.fired().count() == 0


def test_news_of_a_firing_reaches_its_outcomes(tile):
    firing = FiringFactory(fired=True)
    fired_outcomes(tile, firing)

    Firing.objects.filter(pk=firing.pk).update(
        reached_number=Decimal("4.9"), reached_order=CONE_5, reached_source="witness", atmosphere="reduction"
    )
    listeners.tell([firing.pk])

    outcome = Outcome.objects.for_display().first()
    assert (outcome.reached_order, outcome.reached_source, outcome.atmosphere) == (
        CONE_5,
        "witness",
        "reduction",
    )
    assert "All 3 copies" in check()


def test_a_change_of_coats_reaches_the_outcomes(tile, harbour):
    fired_outcomes(tile, FiringFactory(fired=True))
    key = Outcome.objects.get(zone__name="band 1").stack_key

    Coverage.objects.filter(layer__glaze=harbour, zone__name="band 1").update(coats=4)
    changed = conditions.refresh_tiles([tile.pk])

    outcome = Outcome.objects.get(zone__name="band 1")
    assert changed == 1
    assert outcome.coats_total == 4
    assert outcome.stack_key != key
    assert outcome.stacked.get().coats == 4


def test_a_layer_laid_for_the_refiring_is_not_in_the_first_result(tile, flux):
    first = FiringFactory(fired=True)
    fired_outcomes(tile, first)
    glaze_tile(tile, (flux, {"band 1": 2}), after_firings=1)
    second = fired_outcomes(tile, FiringFactory(fired=True, target_order=CONE_6))

    before = Outcome.objects.get(firing=first, zone__name="band 1")
    assert before.layer_count == 1
    assert second[0].layer_count == 2
    assert second[0].top_glaze == flux
    assert "firing 2 of this tile" in lines(second)[0]


def test_the_check_finds_a_false_column_and_mends_it(tile):
    fired_outcomes(tile, FiringFactory(fired=True))
    false = Outcome.objects.get(zone__name="band 2")
    Outcome.objects.filter(pk=false.pk).update(hold_min=99)

    with pytest.raises(CommandError, match="1 of 3 outcomes"):
        check()
    call_command("check_conditions", "--mend", stdout=StringIO())

    assert "All 3 copies" in check()
    assert Outcome.objects.get(pk=false.pk).hold_min == 0


def test_the_check_finds_a_false_layer_even_in_the_bin(tile, recorder):
    fired_outcomes(tile, FiringFactory(fired=True))
    outcome = Outcome.objects.get(zone__name="band 3")
    outcome.put_in_bin(by=recorder)
    StackedLayer.objects.filter(outcome=outcome, position=1).update(coats=7)

    with pytest.raises(CommandError):
        check()


def test_a_tile_that_moves_to_another_body_takes_its_outcomes_along(tile):
    fired_outcomes(tile, FiringFactory(fired=True))
    body = ClayBodyFactory(name="Raven")

    Tile.objects.filter(pk=tile.pk).update(body=body)
    conditions.refresh_tiles([tile.pk])

    assert set(Outcome.objects.values_list("body__name", flat=True)) == {"Raven"}


def test_reading_conditions_costs_the_same_for_many_as_for_few(tile, harbour, django_assert_num_queries):
    firing = FiringFactory(fired=True, state=FiringState.UNLOADED.value)
    fired_outcomes(tile, firing)
    for _ in range(5):
        fired_outcomes(glaze_tile(TileFactory(), (harbour, {"band 1": 1, "back": 2})), firing)

    with django_assert_num_queries(4):
        # outcomes; their layers with glazes; batches; flaws
        lines(list(Outcome.objects.for_display()))

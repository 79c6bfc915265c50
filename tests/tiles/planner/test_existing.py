"""What of a plan is there is the same from memory as from the database, and its newest tiles are listed."""

import pytest

from firings.vocabulary import Atmosphere
from tests.factories import FiringFactory, TileFactory, fired_outcomes, glaze_tile
from tests.tiles.planner.conftest import bench  # noqa: F401
from tiles.columns.queries import read_now
from tiles.planner.fired import fired_in
from tiles.planner.queries import existing, fired_in_database, glaze_keys, on_hand
from tiles.plans.reading import Reading
from tiles.plans.sketch import NONE, Sketch

pytestmark = pytest.mark.django_db
CONE_5, CONE_6 = 22, 23


@pytest.fixture
def sketch(bench):  # noqa: F811
    """Harbour in one and two coats on two bodies, fired at cone 6 twice on the first, at cone 5 once on the second."""
    first, second, *_ = bench.bodies
    for body, order in ((first, CONE_6), (first, CONE_6), (second, CONE_5)):
        firing = FiringFactory(fired=True, reached_order=order, atmosphere=Atmosphere.OXIDATION.value)
        tile = glaze_tile(
            TileFactory(form=bench.form, body=body), (bench.harbour, {"band 1": 1, "band 2": 2})
        )
        fired_outcomes(tile, firing)
    levels = {
        "glaze": (str(bench.harbour.pk),),
        "coats": ("1", "2"),
        "under": (NONE,),
        "over": (NONE,),
        "body": (str(first.pk), str(second.pk)),
        "form": (str(bench.form.pk),),
        "cone": (str(CONE_5), str(CONE_6)),
    }
    return Sketch(levels=levels)


def asked(combination, sketch):
    return tuple(sorted((name, level) for name, level in combination.items() if name in sketch.levels))


def test_memory_and_the_database_find_the_same_results_of_a_plan(sketch, bench):  # noqa: F811
    keys = glaze_keys(sketch, on_hand())
    reading, glazes = Reading(sketch, {key: level for level, key in keys.items()}), {bench.harbour.pk}
    bodies = [int(body) for body in sketch.levels["body"]]
    by_memory, by_database = (
        {asked(one.combination, sketch): sorted(one.outcomes.tolist()) for one in found}
        for found in (
            fired_in(read_now(), reading, glazes),
            fired_in_database(reading, glazes, bodies, None),
        )
    )

    assert by_memory == by_database
    assert sorted(map(len, by_memory.values())) == [1, 1, 2, 2]


def test_the_newest_of_what_exists_is_listed_and_all_of_it_counted(sketch):
    there = existing(sketch, on_hand())
    listed, count = there.first(range(len(there.combinations)), 3)

    assert count == 6
    assert [one.zone for one in listed] == ["band 2", "band 1", "band 2"]
    assert [one.combination["cone"] for one in listed] == [str(CONE_5), str(CONE_5), str(CONE_6)]
    assert listed[0].number == listed[1].number > listed[2].number

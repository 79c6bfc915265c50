"""A studio's standard against what was fired: counts, what is missing, pairs met, and the way to plan it."""

from itertools import combinations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.counting import queries_of
from tests.factories import (
    CONE_5,
    CONE_6,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    KilnFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.columns.queries import read_now
from tiles.gaps import queries
from tiles.gaps.grid import Wanted, grid_of
from tiles.models import StudioStandard

LEVELS = st.lists(st.integers(1, 6), min_size=1, max_size=3, unique=True).map(tuple)
PLACES = st.dictionaries(st.tuples(*[st.integers(1, 7)] * 3), st.integers(0, 4), max_size=30)


@given(st.builds(Wanted, LEVELS, LEVELS, LEVELS), PLACES)
def test_what_is_missing_and_which_pairs_met_are_what_a_list_by_hand_says(wanted, counts):
    grid = grid_of(wanted, counts)
    levels = (wanted.cones, wanted.bodies, wanted.coats)
    fired = [place for place in product(*levels) if counts.get(place)]
    pairs = [
        ((first, one), (second, other))
        for first, second in combinations(range(3), 2)
        for one in levels[first]
        for other in levels[second]
    ]
    met = [
        pair
        for pair in pairs
        if any(all(place[factor] == level for factor, level in pair) for place in fired)
    ]

    assert set(grid.missing) == set(product(*levels)) - set(fired)
    assert (grid.fired, grid.asked) == (len(fired), len(list(product(*levels))))
    assert (grid.pairs.shown, grid.pairs.possible) == (len(met), len(pairs))


@pytest.fixture
def studio(db):
    """Harbour alone at cone 6 on Dune in one and two coats; over a flux too, which does not count."""
    glaze, flux = GlazeFactory(name="Harbour"), GlazeFactory(name="Flux L", kind="flux")
    body, other = ClayBodyFactory(name="Dune"), ClayBodyFactory(name="Porch white")
    form, firing = TileFormFactory(), FiringFactory(fired=True, kiln=KilnFactory())
    fired_outcomes(glaze_tile(TileFactory(form=form, body=body), (glaze, {"band 1": 1, "band 2": 2})), firing)
    over = glaze_tile(TileFactory(form=form, body=other), (flux, {"band 1": 1}), (glaze, {"band 1": 2}))
    fired_outcomes(over, firing)
    levels = {"cones": [CONE_5, CONE_6], "bodies": [body.pk, other.pk], "coats": [1, 2]}
    return glaze, StudioStandard.objects.create(name="House", kind="glaze", levels=levels)


def test_only_the_glaze_alone_counts(viewer_client, studio):
    _, standard = studio
    page = " ".join(viewer_client.get(f"/gaps/{standard.pk}/").content.decode().split())

    assert "2 of 8" in page
    assert "Flux L" not in page


def test_the_same_is_counted_from_memory_and_by_the_database(studio):
    assert sorted(queries._of_held(read_now())) == sorted(queries._of_database())


def test_a_missing_place_is_one_tap_from_the_planner(recorder_client, studio):
    glaze, standard = studio
    answer = recorder_client.get(f"/gaps/{standard.pk}/glaze/{glaze.pk}/")
    page = answer.content.decode()

    assert page.count("plan it") == 6
    assert recorder_client.get(answer.context["page"].plan).status_code == 200
    assert "cone 5 with Dune" in page


def test_a_number_leads_to_just_those_results(viewer_client, studio):
    glaze, standard = studio
    place = next(
        place for _, places in queries.glaze_page(standard, glaze).rows for place in places if place.n
    )

    assert viewer_client.get(place.address).context["shown"].total == place.n == 1


def test_cones_beyond_a_glazes_range_are_not_asked_of_it(studio):
    glaze, standard = studio
    glaze.cone_low_order = glaze.cone_high_order = CONE_6
    glaze.save()

    assert queries.glaze_page(standard, glaze).grid.asked == 4


def test_a_viewer_plans_nothing_and_sets_no_standard(viewer_client, studio):
    glaze, standard = studio

    assert "plan it" not in viewer_client.get(f"/gaps/{standard.pk}/glaze/{glaze.pk}/").content.decode()
    assert viewer_client.get("/gaps/new/").status_code == 403


def test_a_standard_is_typed_as_people_write_it(recorder_client, db):
    body = ClayBodyFactory()
    typed = {"name": "House", "kind": "", "cones": "5, 6", "coats": "1, 2", "bodies": [body.pk]}
    recorder_client.post("/gaps/new/", typed)

    assert StudioStandard.objects.get().levels == {
        "cones": [CONE_5, CONE_6],
        "bodies": [body.pk],
        "coats": [1, 2],
    }


@pytest.mark.parametrize(
    "wrong", [{"cones": "hot"}, {"coats": "0"}, {"coats": "many"}, {"bodies": []}, {"name": ""}]
)
def test_what_cannot_be_read_is_said_and_the_rest_stays_typed(recorder_client, db, wrong):
    typed = {
        "name": "House",
        "kind": "",
        "cones": "5, 6",
        "coats": "1, 2",
        "bodies": [ClayBodyFactory().pk],
        **wrong,
    }
    answer = recorder_client.post("/gaps/new/", typed)

    assert answer.status_code == 422
    assert not StudioStandard.objects.exists()
    assert (wrong.get("name", "House") or "5, 6") in answer.content.decode()


def test_an_empty_studio_is_told_what_a_standard_is(recorder_client, db):
    assert "No standard yet" in recorder_client.get("/gaps/").content.decode()


def test_the_overview_asks_as_often_for_many_glazes_as_for_few(viewer_client, studio):
    _, standard = studio
    address = f"/gaps/{standard.pk}/"
    viewer_client.get(address)
    before = queries_of(viewer_client, address)
    for _ in range(5):
        fired_outcomes(glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1})), FiringFactory(fired=True))

    assert queries_of(viewer_client, address) == before

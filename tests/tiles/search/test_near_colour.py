"""Results by measured colour: exactly those within ΔE00, with every other filter, counted and in order."""

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tiles.colour.difference import ciede2000
from tiles.models import Outcome
from tiles.search.counting.queries import facet_counts
from tiles.search.queries import results, search

pytestmark = pytest.mark.django_db

BANDS = ("band 1", "band 2", "band 3", "texture", "back")
LAB = st.tuples(st.floats(0, 100), st.floats(-60, 60), st.floats(-60, 60))


@pytest.fixture
def outcomes() -> list[Outcome]:
    """Ten outcomes on two clay bodies."""
    made = []
    for _ in range(2):
        tile = glaze_tile(TileFactory(), (GlazeFactory(), dict.fromkeys(BANDS, 1)))
        made += fired_outcomes(tile, FiringFactory(fired=True))
    return made


def colour(outcome: Outcome, lab: tuple[float, float, float] | None, basis: str = "chart") -> None:
    lightness, a, b = lab or (None, None, None)
    Outcome.objects.filter(pk=outcome.pk).update(
        lab_l=lightness, lab_a=a, lab_b=b, lab_basis=basis if lab else ""
    )


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    labs=st.lists(st.one_of(st.none(), LAB), min_size=10, max_size=10),
    asked=LAB,
    most=st.floats(0.5, 30),
)
def test_what_is_near_is_what_brute_force_finds(outcomes, labs, asked, most):
    for outcome, lab in zip(outcomes, labs, strict=True):
        colour(outcome, lab)
    body = outcomes[0].body_id
    asked, most = tuple(round(value, 2) for value in asked), round(most, 2)
    query = f"near={asked[0]}; {asked[1]}; {asked[2]}&within={most}"
    near = {
        outcome.pk
        for outcome, lab in zip(outcomes, labs, strict=True)
        if lab and float(ciede2000(lab, asked)) <= most
    }

    assert set(results(query.replace(";", "%3B")).values_list("pk", flat=True)) == near
    both = search(f"{query.replace(';', '%3B')}&body={body}")
    on_body = {outcome.pk for outcome in outcomes if outcome.body_id == body}
    assert set(both.found().values_list("pk", flat=True)) == near & on_body
    counts = facet_counts(both)
    assert counts.total == len(near & on_body)
    # Each group is counted under all others, the colour among them.
    assert sum(counts.by_group["body"].values()) == len(near)


def test_like_a_result_finds_it_first_and_the_nearest_next(outcomes):
    for place, outcome in enumerate(outcomes):
        colour(outcome, (50.0 + 2 * place, 10.0, 10.0) if place < 6 else None)
    like = outcomes[3].pk
    found = list(results(f"like={like}&within=5&sort=nearest").values_list("lab_l", flat=True))

    assert found[0] == 56
    assert set(found) == {52, 54, 56, 58, 60}
    assert sorted(found[1:3]) == [54, 58]


def test_each_result_says_how_far_off_it_is_and_what_its_colour_rests_on(viewer_client: Client, outcomes):
    colour(outcomes[0], (50, 10, 10), "chart")
    colour(outcomes[1], (52, 10, 10), "grey_card")
    page = viewer_client.get(reverse("tiles:search:results"), {"like": outcomes[0].pk}).content.decode()

    assert "2 results" in page
    assert "by colour chart" in page
    assert "by grey card" in page
    # ΔE of 2 in L* about 51: S_L = 1 + 0.015 · 1 / √21, so 2 / 1.0033 = 1.99
    assert "ΔE 2.0" in page
    assert "8 more results of this search have no measured colour" in page
    assert f"colour like {outcomes[0].tile.label}, band 1, within ΔE 5" in page


def test_lifting_the_colour_lifts_how_far_off_too(viewer_client: Client, outcomes):
    colour(outcomes[0], (50, 10, 10))
    page = viewer_client.get(reverse("tiles:search:results"), {"near": "50 10 10", "within": "3"})

    (chip,) = page.context["shown"].chips
    assert chip.lifted == ""


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("near", "brownish", "#7a5230"),
        ("within", "99", "at most 30"),
        ("like", "999999", "no such result"),
    ],
)
def test_what_cannot_be_read_is_said_and_left_out(viewer_client: Client, outcomes, name, typed, words):
    answer = viewer_client.get(reverse("tiles:search:results"), {name: typed})

    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_a_result_without_a_colour_has_no_like(viewer_client: Client, outcomes):
    answer = viewer_client.get(reverse("tiles:search:results"), {"like": outcomes[0].pk})

    assert answer.status_code == 422
    assert "no measured colour" in answer.content.decode()


def test_target_cones_alone_offer_no_way_out(viewer_client: Client, outcomes):
    answer = viewer_client.get(
        reverse("tiles:search:results"), {"cone": "10", "cone_by": "target", "q": "nowhere"}
    )

    assert answer.status_code == 200

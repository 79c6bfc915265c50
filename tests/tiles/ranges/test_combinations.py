"""What a glaze has been over and under: tries are tiles, flat ones do not count, thin evidence says so."""

from datetime import UTC, datetime

import pytest

from tests.counting import queries_of
from tests.factories import (
    CONE_6,
    FiringFactory,
    GlazeFactory,
    KilnFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.ranges.test_matrix import CONE_6 as ORDER_6
from tests.tiles.ranges.test_matrix import CONE_10, FLUX, GLAZE, OTHER, a_result
from tiles.models import Outcome
from tiles.ranges import queries
from tiles.ranges.axes import NOTHING, Axis
from tiles.ranges.combinations import combined, most_fired, places_of, safest_first, tries_of
from tiles.ranges.matrix import laid_out
from tiles.ranges.pairs import queries as pairs
from tiles.ranges.pairs.queries import MOST_OTHERS

STANDING = frozenset({1})
OVER_FLUX = f"{FLUX}:brush:1|{GLAZE}:brush:2"
UNDER_OTHER = f"{GLAZE}:brush:2|{OTHER}:brush:1"


def tries(stack, count, off=0, cone=ORDER_6, start=100, **more):
    return [
        a_result(start + number, stack=stack, cone=cone, off=number < off, **more) for number in range(count)
    ]


def test_zones_alike_on_one_tile_in_one_firing_are_one_try():
    zones = [a_result(1, number=1042, off=True), a_result(2, number=1042), a_result(3, number=1043)]

    assert tries_of(zones, STANDING).n == 2
    assert tries_of(zones, STANDING).ran_off == 1


def test_nothing_is_counted_on_flat_tiles_nor_before_it_was_judged():
    found = [a_result(1, form=2, off=True), a_result(2, judged=False), a_result(3)]

    assert (tries_of(found, STANDING).ran_off, tries_of(found, STANDING).n) == (0, 1)


def test_a_glaze_between_two_others_stands_over_one_and_under_the_other():
    between = a_result(stack=f"{FLUX}:brush:1|{GLAZE}:brush:2|{OTHER}:brush:1")

    pairs = {(one.axis, one.other) for one in combined([between], GLAZE, STANDING)}
    assert pairs == {(Axis.OVER, str(FLUX)), (Axis.UNDER, str(OTHER))}
    assert places_of(NOTHING, NOTHING) == [(Axis.OVER, NOTHING)]


def test_those_with_most_results_are_pictured_first():
    found = [
        a_result(key, stack=f"{GLAZE}:brush:2|{other}:brush:1")
        for key, other in enumerate((FLUX, OTHER, OTHER, 20, 20, 20), start=1)
    ]
    pairs = combined(found, GLAZE, frozenset({1}))

    assert most_fired(pairs, Axis.UNDER, 2) == ["20", str(OTHER)]
    assert most_fired(pairs, Axis.OVER, 2) == []


def test_what_never_ran_off_comes_before_what_often_did():
    found = tries(OVER_FLUX, 12, off=9) + tries(UNDER_OTHER, 12, start=200)
    more = tries(f"8:brush:1|{GLAZE}:brush:2", 12, start=300)
    pairs = combined(found + more, GLAZE, STANDING)
    answer = safest_first(pairs, Axis.OVER, ORDER_6)

    assert [one.other for one in answer] == ["8", str(FLUX)]
    assert answer[0].chance is not None
    assert answer[1].chance is not None
    assert answer[0].chance.high < answer[1].chance.low


def test_two_tiles_are_not_enough_to_say_and_stand_last():
    found = tries(OVER_FLUX, 2) + tries(f"8:brush:1|{GLAZE}:brush:2", 12, off=6, start=300)
    answer = safest_first(combined(found, GLAZE, STANDING), Axis.OVER, ORDER_6)

    assert [(one.other, one.chance is None) for one in answer] == [("8", False), (str(FLUX), True)]


def test_each_cone_and_amount_is_asked_for_itself():
    found = tries(OVER_FLUX, 4) + tries(OVER_FLUX, 4, off=4, cone=CONE_10, start=200)

    assert {one.cone: one.ran_off for one in combined(found, GLAZE, STANDING)} == {ORDER_6: 0, CONE_10: 4}
    assert combined(found, GLAZE, STANDING, coats="3") == []


@pytest.fixture
def harbour():
    glaze, flux, form, kiln = (
        GlazeFactory(name="Harbour"),
        GlazeFactory(name="Flux L"),
        TileFormFactory(),
        KilnFactory(),
    )
    firing = FiringFactory(fired=True, kiln=kiln)
    for _ in range(3):
        fired_outcomes(
            glaze_tile(TileFactory(form=form), (flux, {"band 1": 1}), (glaze, {"band 1": 2})), firing
        )
    return glaze


@pytest.mark.django_db
def test_the_page_shows_the_pair_and_what_nobody_judged(viewer_client, harbour):
    page = viewer_client.get(
        f"/catalogue/glazes/{harbour.pk}/range/combinations/?cone={CONE_6}"
    ).content.decode()

    assert "What lies under Harbour" in page
    assert ">Flux L</a>" in page
    assert "surest to stay first" in page
    assert "not enough to say" in page
    assert "A tile is not a pot" in page


@pytest.mark.django_db
def test_a_cone_nobody_fired_to_is_as_good_as_none(viewer_client, harbour):
    for said in ("cone=99", "cone=x&coats=%27", "coats=7"):
        address = f"/catalogue/glazes/{harbour.pk}/range/combinations/?{said}"

        assert viewer_client.get(address).status_code == 200


@pytest.mark.django_db
def test_combinations_ask_as_often_for_many_as_for_few(viewer_client, harbour):
    address = f"/catalogue/glazes/{harbour.pk}/range/combinations/"
    viewer_client.get(address)
    before = queries_of(viewer_client, address)
    firing, form = FiringFactory(fired=True), TileFormFactory()
    for other in (GlazeFactory(), GlazeFactory(), GlazeFactory()):
        fired_outcomes(
            glaze_tile(TileFactory(form=form), (harbour, {"band 1": 1}), (other, {"band 1": 1})), firing
        )

    assert queries_of(viewer_client, address) == before


@pytest.mark.django_db
def test_of_very_many_others_the_page_says_how_many_it_leaves_out_and_answers_with_all(
    viewer_client, harbour
):
    firing, form = FiringFactory(fired=True), TileFormFactory()
    for number in range(MOST_OTHERS + 2):
        tile = TileFactory(form=form)
        other = GlazeFactory(name=f"Other {number:02}")
        fired_outcomes(glaze_tile(tile, (harbour, {"band 1": 1}), (other, {"band 1": 1})), firing)
    address = f"/catalogue/glazes/{harbour.pk}/range/combinations/"
    page = viewer_client.get(address).content.decode()
    answer = viewer_client.get(f"{address}?cone={CONE_6}").content.decode()

    assert "No room for 2 more" in page
    assert page.count('<th scope="row">Other ') == MOST_OTHERS
    assert all(f">Other {number:02}</a>" in answer for number in range(MOST_OTHERS + 2))


@pytest.mark.django_db(transaction=True)
def test_combinations_and_sheets_are_laid_out_once_and_after_a_write_anew(
    viewer_client, harbour, monkeypatch
):
    laid = []

    def counted(name, work):
        return lambda *asked: laid.append(name) or work(*asked)

    monkeypatch.setattr(pairs, "combined", counted("combined", combined))
    monkeypatch.setattr(queries, "laid_out", counted("laid out", laid_out))
    addresses = [f"/catalogue/glazes/{harbour.pk}/range/{page}" for page in ("combinations/", "")]
    for address in addresses * 2:
        assert "of 3 ran off" not in viewer_client.get(address).text
    assert laid == ["combined", "laid out"]

    Outcome.objects.update(judged_at=datetime(2026, 10, 15, tzinfo=UTC), runs_off=True)

    assert "all 3 ran off" in viewer_client.get(addresses[0]).text
    assert "ran off" in viewer_client.get(addresses[1]).text
    assert laid == ["combined", "laid out"] * 2

"""What a search finds: by figures, spans and words, in an order, without what lies in the bin."""

import pytest

from tests.counting import queries_of
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    PhotoFactory,
    PhotoFilingFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Outcome
from tiles.search import address
from tiles.search.groups import NAMES_IN_ADDRESS
from tiles.search.queries import photos_of, results, results_page, search, tile_numbers_of

pytestmark = pytest.mark.django_db
CONE_5, CONE_6, CONE_04 = 28, 30, 20


def fired(*, coats: int = 2, glaze=None, firing=None, placed=None, **tile):
    """One outcome of one zone."""
    made = glaze_tile(TileFactory(**tile), (glaze or GlazeFactory(), {"band 1": coats}))
    return fired_outcomes(made, firing or FiringFactory(fired=True), **(placed or {}))[0]


def found(query: str) -> list[Outcome]:
    return list(results(query))


@pytest.mark.parametrize("asked", ["6", "^6", "cone 6", "5–6", "5-6", "6–5", "5 to 6", "5½–6", "–6"])
def test_a_cone_is_asked_for_as_people_write_it(asked):
    six = fired(firing=FiringFactory(fired=True, reached_order=CONE_6))
    fired(firing=FiringFactory(fired=True, reached_order=34, reached_number=10))

    assert found(f"cone={asked}".replace(" ", "+")) == [six]


def test_cones_below_1_run_the_other_way():
    cool = fired(firing=FiringFactory(fired=True, reached_order=CONE_04, reached_number=-3))
    fired()

    assert found("cone=06–04") == [cool]


def test_the_cone_reached_is_meant_unless_the_target_is_asked_for():
    outcome = fired(firing=FiringFactory(fired=True, target_order=CONE_6, reached_order=CONE_5))

    assert found("cone=5") == [outcome]
    assert found("cone=6") == []
    assert found("cone=6&cone_by=target") == [outcome]


def test_coats_are_those_of_all_layers_unless_the_top_layer_is_asked_for():
    flux = GlazeFactory(kind="flux")
    tile = glaze_tile(TileFactory(), (flux, {"band 1": 1}), (GlazeFactory(), {"band 1": 3}))
    (outcome,) = fired_outcomes(tile, FiringFactory(fired=True))

    assert found("coats=4") == [outcome]
    assert found("coats=3") == []
    assert found("coats=3&coats_of=top") == [outcome]


def test_a_glaze_is_found_anywhere_on_top_and_underneath():
    flux, harbour = GlazeFactory(kind="flux"), GlazeFactory()
    tile = glaze_tile(TileFactory(), (flux, {"band 1": 1}), (harbour, {"band 1": 3}))
    (outcome,) = fired_outcomes(tile, FiringFactory(fired=True))

    assert found(f"glaze={flux.pk}") == found(f"under={flux.pk}") == found(f"top={harbour.pk}") == [outcome]
    assert found(f"top={flux.pk}") == found(f"under={harbour.pk}") == []
    assert found(f"glaze={harbour.pk}&stack=alone") == []
    assert found(f"glaze={harbour.pk}&stack=flux") == [outcome]


@pytest.mark.parametrize("word", ["harbour", "HARB", "dune", "cloudy", "left+edge", "thin+over", "26-118"])
def test_words_are_found_in_what_people_typed_and_what_it_is_made_of(word):
    harbour = GlazeFactory(name="Harbour")
    tile = TileFactory(
        body=ClayBodyFactory(name="Dune speckled"),
        note="left edge",
        series=SeriesFactory(name="Thin over thick"),
    )
    glaze_tile(tile, (harbour, {"band 1": 1}), batch=GlazeBatchFactory(glaze=harbour, lot="26-118"))
    (outcome,) = fired_outcomes(tile, FiringFactory(fired=True))
    Outcome.objects.update(remark="a little cloudy")
    fired()

    assert found(f"q={word}") == [outcome]


@pytest.mark.parametrize("word", ["71042", "71042-2", "710422", "%2371042-2"])
def test_a_tile_number_is_found_with_or_without_its_check_digit(word):
    outcome = fired(number=71042)
    fired(number=72042)

    assert found(f"q={word}") == [outcome]


def test_every_word_must_be_found():
    fired(glaze=GlazeFactory(name="Harbour"))

    assert found("q=harbour+nothing") == []


def test_signs_of_a_pattern_are_plain_letters():
    fired(note="100% quartz")
    fired(note="100 parts quartz")

    assert len(found("q=100%25")) == 1
    assert len(found("q=_")) == 0


def test_dates_take_in_both_ends():
    outcome = fired()  # fired on 14 October 2026

    assert found("since=2026-10-14&until=2026-10-14") == [outcome]
    assert found("since=2026-10-15") == []


def test_what_is_not_fired_yet_is_no_result():
    fired(firing=FiringFactory())

    assert found("") == []


def test_what_lies_in_the_bin_is_not_found():
    fired().tile.put_in_bin(by=None)
    fired().firing.put_in_bin(by=None)
    fired().put_in_bin(by=None)

    assert found("") == []


def test_a_binned_glaze_still_names_its_results():
    harbour = GlazeFactory(name="Harbour")
    outcome = fired(glaze=harbour)
    harbour.put_in_bin(by=None)
    shown = results_page((("glaze", str(harbour.pk)),), "1")

    assert [card.pk for card in shown.rows] == [outcome.pk]
    assert [chip.words for chip in shown.chips] == ["with Harbour"]


def test_each_order_puts_first_what_it_says():
    few = fired(number=71001, coats=1, firing=FiringFactory(fired=True, reached_number=7))
    many = fired(number=72001, coats=5, firing=FiringFactory(fired=True, reached_number=5))
    Outcome.objects.filter(pk=few.pk).update(run_mm=8)

    assert found("sort=number") == [few, many]
    assert found("sort=cone") == [few, many]
    assert found("sort=coats") == [many, few]
    assert found("sort=run") == [few, many]
    assert found("") == [many, few]


def test_tile_numbers_come_once_each_in_the_order_asked_for():
    tile = glaze_tile(TileFactory(number=71042), (GlazeFactory(), {"band 1": 1, "band 2": 2}))
    fired_outcomes(tile, FiringFactory(fired=True))
    fired(number=71001)

    assert tile_numbers_of("sort=number") == ["71001-2", "71042-2"]


def test_what_cannot_be_read_is_said_and_leaves_the_other_filters_in_force():
    fired(coats=1)
    asked = search("cone=5x&coats=2")

    assert "'5x' is not a cone" in asked.form.errors["cone"][0]
    assert list(asked.in_order()) == []


@pytest.mark.parametrize(
    "query",
    [
        "body=99999999999999999999",
        "body=x",
        "coats=999999999999",
        "run=1e400",
        "surface=shiny",
        "since=2026-13-40",
        "q=%00",
        "glaze=%00",
        "sort=up",
        "shelf=٣",
    ],
)
def test_no_address_breaks_a_search(query):
    fired()

    assert search(query).form.errors
    list(results(query))
    assert results_page(address.read(query, NAMES_IN_ADDRESS), "1").rows is not None


def test_the_photo_of_the_zone_after_this_firing_is_shown_first():
    outcome = fired()
    other_firing = fired_outcomes(outcome.tile, FiringFactory(fired=True))[0]
    any_firing, whole, zone, elsewhere = (PhotoFactory() for _ in range(4))
    back = outcome.tile.zones.get(name="back")
    filings = (
        (any_firing, None, None),
        (whole, outcome.placement, None),
        (zone, outcome.placement, outcome.zone),
        (elsewhere, outcome.placement, back),
    )
    for photo, placement, on in filings:
        PhotoFilingFactory(photo=photo, tile=outcome.tile, placement=placement, zone=on)

    assert photos_of([outcome, other_firing]) == {outcome.pk: zone, other_firing.pk: any_firing}
    zone.put_in_bin(by=None)
    assert photos_of([outcome])[outcome.pk] == whole


def test_a_page_of_results_takes_no_more_queries_for_more_of_them(viewer_client):
    fired(series=SeriesFactory())
    few = queries_of(viewer_client, "/results/?judged=no&sort=run")
    for _ in range(8):
        outcome = fired(series=SeriesFactory())
        PhotoFilingFactory(tile=outcome.tile)
    few_with_photo = queries_of(viewer_client, "/results/?judged=no&sort=run")

    assert few_with_photo == few

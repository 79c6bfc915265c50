"""The page of results side by side over HTTP: addresses, what differs, colours, clear words for what can't be shown."""

import re

import pytest

from tests.counting import queries_of
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    PhotoFactory,
    PhotoFilingFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import ColourReading, Outcome, Photo

pytestmark = pytest.mark.django_db


@pytest.fixture
def results():
    """Harbour on eleven zones of bodies and coats, judged satin; the firing is one."""
    firing, glaze = FiringFactory(number=231, fired=True), GlazeFactory(name="Harbour")
    made = []
    for body in ("Dune speckled", "Tern", "Loft", "Cellar"):
        tile = glaze_tile(
            TileFactory(body=ClayBodyFactory(name=body)), (glaze, {"band 1": 1, "band 2": 2, "band 3": 3})
        )
        made += fired_outcomes(tile, firing)
        PhotoFilingFactory(photo=PhotoFactory(), tile=tile)
    Outcome.objects.update(surface="satin", judged_at=firing.started_at)
    return made


def address(*outcomes, **more):
    asked = "".join(f"&{name}={value}" for name, value in more.items())
    return f"/results/compare/?o={','.join(str(one.pk) for one in outcomes)}{asked}"


def text_of(answer):
    return " ".join(answer.content.decode().split())


def test_what_differs_stands_out_and_the_same_is_said_once(viewer_client, results):
    answer = viewer_client.get(address(results[0], results[3]))
    page = text_of(answer)

    assert answer.status_code == 200
    assert "They differ in clay body." in page
    assert "Both: Harbour ×1, brushed, smooth clay" in page
    assert page.index("Dune speckled") < page.index("Tern")


def test_the_order_in_the_address_is_the_order_on_the_page(viewer_client, results):
    page = text_of(viewer_client.get(address(results[3], results[0])))

    assert page.index("Tern") < page.index("Dune speckled")


def test_a_form_sends_one_by_one_and_is_shared_as_one(viewer_client, results):
    one, other = results[0].pk, results[1].pk
    answer = viewer_client.get(f"/results/compare/?o={one}&o={other}&o={one}")

    assert answer.headers["Location"] == f"/results/compare/?o={one},{other}"


def test_colours_are_set_against_the_reference(viewer_client, results):
    one, other = results[:2]
    Outcome.objects.filter(pk=one.pk).update(lab_l=60, lab_a=10, lab_b=10, lab_basis="instrument")
    Outcome.objects.filter(pk=other.pk).update(lab_l=50, lab_a=10, lab_b=10, lab_basis="instrument")

    # ΔL* 10 about L* 55: S_L = 1 + 0.015 · 25 / √(20 + 25) = 1.056, so ΔE00 = 9.47 (Sharma, Wu, Dalal 2005, eq. 15)
    assert "ΔE 9.5 ± 0.7, darker" in text_of(viewer_client.get(address(one, other)))
    assert "ΔE 9.5 ± 0.7, lighter" in text_of(viewer_client.get(address(one, other, to=other.pk)))
    assert "against" not in text_of(viewer_client.get(address(results[4], results[5])))


@pytest.mark.parametrize("to", ["x", "0", "9" * 30])
def test_a_reference_that_is_none_is_passed_over(viewer_client, results, to):
    assert viewer_client.get(address(*results[:2], to=to)).status_code == 200


def test_nothing_chosen_says_how_to_choose(viewer_client):
    answer = viewer_client.get("/results/compare/")

    assert answer.status_code == 200
    assert "Tick two to eight results" in text_of(answer)


def test_one_result_asks_for_another(viewer_client, results):
    assert "One result is chosen. Tick another" in text_of(viewer_client.get(address(results[0])))


def test_more_than_eight_ask_which_to_take_off(viewer_client, results):
    answer = viewer_client.get(address(*results[:9]))
    page = text_of(answer)

    assert answer.status_code == 422
    assert "9 results are chosen, and 8 at most stand side by side" in page
    assert page.count("checked") == 8


def test_a_result_that_is_gone_is_told_of_beside_the_others(viewer_client, results, keeper):
    results[0].tile.put_in_bin(by=keeper)
    kept = address(results[3], results[4], results[0])
    answer = viewer_client.get(kept)

    assert answer.status_code == 200
    assert "One of these results is not here any more" in text_of(answer)
    assert "2 results side by side" in text_of(answer)


@pytest.mark.parametrize("said", ["999999,999998", "x", "1.5", "-3", "9" * 40, "1,2,drop table"])
def test_what_is_no_result_is_answered_in_words(viewer_client, said):
    answer = viewer_client.get("/results/compare/", {"o": said})

    assert answer.status_code == 422
    assert "is no result" in text_of(answer) or "not here any more" in text_of(answer)


def test_two_zones_on_one_photo_share_it(viewer_client, results):
    """What cannot be told apart is not shown twice."""
    page = text_of(viewer_client.get(address(results[0], results[1], results[3])))

    assert page.count("data-close-up") == 2
    label = results[0].tile.label
    assert f'aria-label="Photo of tile {label}, band 1; tile {label}, band 2, close up"' in page


def test_zones_that_lie_in_known_places_are_each_brought_up(viewer_client, results):
    photo = Photo.objects.earliest("pk")
    for at, outcome in enumerate(results[:2]):
        area = [[0.3, 0.2 * at], [0.6, 0.2 * at], [0.6, 0.2 * at + 0.1], [0.3, 0.2 * at + 0.1]]
        ColourReading.objects.create(
            outcome=outcome,
            photo=photo,
            lab_l=50,
            lab_a=0,
            lab_b=0,
            basis="chart",
            spread_de=1,
            pixel_count=400,
            area=area,
        )
    page = text_of(viewer_client.get(address(*results[:2])))

    assert page.count("data-close-up") == 2
    assert len(set(re.findall(r'data-zone="([^"]+)"', page))) == 2


def test_eight_ask_no_more_of_the_database_than_two(viewer_client, results):
    viewer_client.get(address(*results[:2]))  # what a process asks only once is known after this
    few = queries_of(viewer_client, address(*results[:2]))

    assert queries_of(viewer_client, address(*results[:8])) == few


def test_results_and_tile_pages_carry_ticks_that_need_no_script(viewer_client, results):
    for page in ("/results/", "/results/?view=list", results[0].tile.get_absolute_url()):
        told = viewer_client.get(page).content.decode()

        assert f'value="{results[0].pk}"' in told
        assert 'form="compare"' in told
        assert 'action="/results/compare/"' in told

"""Pages of evidence: what they say, what they do not, and the pairs one click away."""

import re
from datetime import UTC, datetime
from decimal import Decimal
from html import unescape
from operator import attrgetter
from random import Random

import pytest
from playwright.sync_api import expect

from firings.models import Firing
from tests.counting import queries_of
from tests.factories import (
    CONE_5,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    KilnFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.tiles.apart.studios import random_studio
from tests.tiles.evidence.by_hand import Result, matched
from tiles.conditions.queries import conditions_of
from tiles.evidence import queries
from tiles.evidence.results import results_in
from tiles.models import Glaze, Outcome, Tile, TileForm

pytestmark = pytest.mark.django_db
KEY = attrgetter("key")


def harbour(bodies=7, *, judged=True):
    """One glaze on so many bodies, each at cone 5 and 6: satin and still at 5, glossy and 3 mm further at 6."""
    glaze, form, kiln = GlazeFactory(name="Harbour", surface="satin"), TileFormFactory(), KilnFactory()
    cones = (CONE_5, "satin", 1), (CONE_5 + 2, "glossy", 4)
    firings = [FiringFactory(fired=True, kiln=kiln, reached_order=order) for order, _, _ in cones]
    for number in range(bodies):
        body = ClayBodyFactory()
        for firing, (_, surface, run_mm) in zip(firings, cones, strict=True):
            tile = glaze_tile(TileFactory(body=body, form=form), (glaze, {"band 1": 2}))
            (outcome,) = fired_outcomes(tile, firing)
            if judged:
                Outcome.objects.filter(pk=outcome.pk).update(
                    surface=surface,
                    run_mm=run_mm + Decimal(number) / 10 * (surface == "glossy"),
                    judged_at=datetime(2026, 10, 15, tzinfo=UTC),
                )
    return glaze


def words_of(client, address):
    page = client.get(address)
    assert page.status_code == 200
    return re.sub(r"\s+", " ", page.content.decode())


def test_a_glaze_page_says_what_a_cone_more_does(viewer_client):
    words = words_of(viewer_client, f"/evidence/glaze/{harbour().pk}/")

    assert "cone 5 → 6" in words
    assert "gloss rises in 7 of 7 pairs, falls in none" in words
    assert "run 3.3 mm more on average, 3.1 to 3.5" in words
    assert "One side is a single firing" in words


def test_the_pairs_are_one_click_away(viewer_client):
    glaze = harbour()
    page = viewer_client.get(f"/evidence/glaze/{glaze.pk}/")
    link = re.search(r'href="(/evidence/glaze/\d+/pairs/\?of=cone[^"]*)"', page.content.decode())
    pairs = viewer_client.get(link[1].replace("&amp;", "&"))

    assert len(pairs.context["shown"].pairs) == 7
    assert pairs.content.decode().count("/results/compare/?o=") == 7
    assert "0.016" in pairs.content.decode()


def test_pairs_stand_on_pages_and_none_is_left_out(viewer_client, monkeypatch):
    monkeypatch.setattr(queries, "PAIRS_A_PAGE", 3)
    address = f"/evidence/glaze/{harbour().pk}/pairs/?of=cone&from=5&to=6"
    pages = [viewer_client.get(f"{address}&page={page}").context["shown"].pairs for page in (1, 2, 3)]

    assert [len(page) for page in pages] == [3, 3, 1]
    assert len({pair.before.outcome.pk for page in pages for pair in page}) == 7
    assert "page=2" in viewer_client.get(address).content.decode()


def test_changes_beyond_the_first_stand_on_a_page_of_their_own(viewer_client, monkeypatch):
    monkeypatch.setattr(queries, "MOST_CHANGES", 0)
    glaze = harbour()
    page = words_of(viewer_client, f"/evidence/glaze/{glaze.pk}/")
    changes = words_of(viewer_client, f"/evidence/glaze/{glaze.pk}/changes/?of=body")

    assert "All changes of cone, 1 more" in page
    # Seven bodies, each against each, at two cones: 21 changes of two pairs
    assert "21 changes" in changes
    assert changes.count("</a>: not enough to say") == 21
    assert viewer_client.get(f"/evidence/glaze/{glaze.pk}/changes/?of=taste").status_code == 404


def test_the_tiles_behind_a_chance_are_one_click_away(viewer_client):
    glaze = harbour()
    ran = Outcome.objects.filter(reached_order=CONE_5 + 2).latest("pk")
    Outcome.objects.filter(pk=ran.pk).update(runs_off=True)
    page = words_of(viewer_client, f"/evidence/glaze/{glaze.pk}/")
    link = re.search(r'href="(/evidence/glaze/\d+/runs/\?stack=[^"]*cone=6)">1 of 7<', page)
    tries = viewer_client.get(unescape(link[1]))

    assert next(card.pk for card in tries.context["shown"].cards) == ran.pk
    assert {card.pk for card in tries.context["shown"].cards} == set(
        Outcome.objects.filter(reached_order=CONE_5 + 2).values_list("pk", flat=True)
    )
    assert "1 of 7" in words_of(viewer_client, f"/evidence/glaze/{glaze.pk}/runs/")
    assert viewer_client.get(f"/evidence/glaze/{glaze.pk}/runs/?stack=Moss&cone=6").status_code == 404


def test_repeats_are_one_click_away(viewer_client):
    glaze = harbour(2)
    tile, firing = Tile.objects.earliest("pk"), Firing.objects.earliest("pk")
    again = glaze_tile(TileFactory(body=tile.body, form=tile.form), (glaze, {"band 1": 2}))
    fired_outcomes(again, firing)
    Outcome.objects.update(judged_at=datetime(2026, 10, 15, tzinfo=UTC))
    page = viewer_client.get(f"/evidence/glaze/{glaze.pk}/")
    link = re.search(r'href="(/evidence/glaze/\d+/repeats/)">What was repeated', page.content.decode())[1]
    (repeat,) = viewer_client.get(link).context["shown"].repeats

    assert repeat.n == 2
    assert {outcome.tile for outcome in repeat.tries} == {tile, again}
    assert viewer_client.get(repeat.compare, follow=True).status_code == 200
    assert "No conditions were fired twice yet" in words_of(viewer_client, "/evidence/surface/dry/repeats/")


def test_tiles_that_lay_flat_do_not_count_for_running_off(viewer_client):
    glaze = harbour()
    TileForm.objects.update(upright=False)

    assert "tiles that lay flat tell nothing of it" in words_of(viewer_client, f"/evidence/glaze/{glaze.pk}/")


@pytest.mark.parametrize("seed", range(3))
def test_what_is_read_of_the_log_makes_the_pairs_that_its_records_make(seed):
    random_studio(Random(seed), tiles=25)
    Outcome.objects.update(judged_at=datetime(2026, 10, 15, tzinfo=UTC))
    shown = Outcome.objects.fired().for_display()
    results = [
        Result(one.pk, one.tile.number, one.firing_id, conditions_of(one), one.fired_on) for one in shown
    ]
    found = {
        effect.change: sorted(tuple(map(sorted, effect.keys_of(place))) for place in range(effect.n))
        for effect in queries.evidence_of(queries.studio_scope()).effects
    }
    by_hand = {
        change: sorted(
            (
                [one.key for one in sorted(match.before, key=KEY)],
                [one.key for one in sorted(match.after, key=KEY)],
            )
            for match in matches
        )
        for change, matches in matched(results).items()
    }

    assert by_hand
    assert found == by_hand


def test_thin_evidence_says_so(viewer_client):
    words = words_of(viewer_client, f"/evidence/glaze/{harbour(3).pk}/")

    assert "Not enough to say." in words
    assert 'cone 5 → 6 <span class="choice-count">3 pairs</span>' in words
    assert "Ten judged tiles are the fewest" in words


def test_a_studio_without_judged_results_says_what_to_do(viewer_client):
    harbour(2, judged=False)

    assert "Nothing to go by yet" in words_of(viewer_client, "/evidence/")


def test_a_tag_gathers_the_glazes_it_was_written_on(viewer_client):
    glaze = harbour()
    assert viewer_client.get("/evidence/tag/for%20the%20shop/").status_code == 404

    Glaze.objects.filter(pk=glaze.pk).update(tags="blue, for the shop")
    GlazeFactory(tags="liner")

    words = words_of(viewer_client, "/evidence/tag/for%20the%20shop/")
    assert "gloss rises in 7 of 7" in words
    assert 'href="/evidence/tag/liner/"' in words
    assert "Nothing to go by yet" in words_of(viewer_client, "/evidence/tag/liner/")
    pairs = re.search(r'href="(/evidence/tag/for%20the%20shop/pairs/[^"]*)"', words)
    assert viewer_client.get(unescape(pairs[1])).status_code == 200


def test_a_surface_gathers_the_glazes_expected_to_come_out_so(viewer_client):
    harbour()

    assert "gloss rises in 7 of 7" in words_of(viewer_client, "/evidence/surface/satin/")
    assert "Nothing to go by yet" in words_of(viewer_client, "/evidence/surface/dry/")
    assert viewer_client.get("/evidence/surface/velvet/").status_code == 404
    assert viewer_client.get("/evidence/glaze/99999/").status_code == 404


def test_pairs_that_are_not_there_are_not_found(viewer_client):
    glaze = harbour(1)

    assert viewer_client.get(f"/evidence/glaze/{glaze.pk}/pairs/?of=cone&from=8&to=9").status_code == 404
    assert viewer_client.get("/evidence/pairs/").status_code == 404


def test_results_of_binned_tiles_do_not_count(viewer_client, recorder):
    glaze = harbour()
    Outcome.objects.first().tile.put_in_bin(by=recorder)

    assert "of 6 pairs" in words_of(viewer_client, f"/evidence/glaze/{glaze.pk}/")


@pytest.mark.django_db(transaction=True)
def test_what_results_say_is_worked_out_once_and_after_a_write_anew(viewer_client, monkeypatch):
    glaze = harbour()
    Outcome.objects.filter(pk=Outcome.objects.latest("pk").pk).update(remark="read, so that all is held")
    read = []

    def counted(held, chosen):
        read.append(held)
        return results_in(held, chosen)

    monkeypatch.setattr(queries, "results_in", counted)
    address = f"/evidence/glaze/{glaze.pk}/"
    for page in ("", "", "pairs/?of=cone&from=5&to=6", "changes/?of=cone", "runs/", "repeats/?lots=aside"):
        assert viewer_client.get(f"{address}{page}").status_code == 200
    assert len(read) == 1

    Outcome.objects.filter(pk=Outcome.objects.latest("pk").pk).update(judged_at=None)

    assert "of 6 pairs" in words_of(viewer_client, address)
    TileForm.objects.update(upright=False)
    assert "tiles that lay flat tell nothing of it" in words_of(viewer_client, address)
    viewer_client.get("/evidence/")
    assert len(read) == 4


def test_evidence_pages_ask_no_more_with_more_results(viewer_client):
    few = harbour(6)
    address = f"/evidence/glaze/{few.pk}/"
    behind = (
        "",
        "pairs/?of=cone&from=5&to=6",
        "changes/?of=cone",
        "runs/",
        "runs/?stack=Harbour+×2&cone=6",
        "repeats/",
    )
    asked = [queries_of(viewer_client, f"{address}{page}") for page in behind]
    Glaze.objects.filter(pk=few.pk).update(name="Quay")
    many = f"/evidence/glaze/{harbour(12).pk}/"

    assert [queries_of(viewer_client, f"{many}{page}") for page in behind] == asked


def test_a_glaze_page_leads_to_its_evidence(viewer_client):
    glaze = harbour(1)

    assert f"/evidence/glaze/{glaze.pk}/" in viewer_client.get(glaze.get_absolute_url()).content.decode()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_bars_anyone_from_the_evidence(open_page, viewer, barriers, scheme):
    glaze = harbour()
    page = open_page(f"/evidence/glaze/{glaze.pk}/", viewer, width=390, color_scheme=scheme, bypass_csp=True)

    expect(page.get_by_role("heading", name="cone 5 → 6")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert barriers(page) == []
    page.get_by_role("link", name="7 pairs").first.click()
    expect(page.get_by_role("link", name="Side by side")).to_have_count(7)
    assert barriers(page) == []

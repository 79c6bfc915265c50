"""Pieces weighed, refused, changed and binned; the overview by body and cone, the page of a body and of a tile."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from firings.vocabulary import FiringState
from tests.counting import queries_of
from tests.factories import (
    CONE_6,
    CONE_10,
    AbsorptionTestFactory,
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import AbsorptionPiece, AbsorptionTest

pytestmark = pytest.mark.django_db

NEW = reverse("tiles:laboratory:new_absorption")
INDEX = reverse("tiles:laboratory:index")


def sent(*pieces, **given):
    """A test as a browser sends it; pieces are dry, hung, wet."""
    facts = {
        "tile": "", "body": "", "firing": "", "cone_order": "6", "method": "c373_boil", "tested_on": "2026-10-14",
        "tested_by": "Rowan Reed", "scale_step_g": "0,01", "note": "cut from one bar",
        "pieces-TOTAL_FORMS": len(pieces), "pieces-INITIAL_FORMS": 0,
    }  # fmt: skip
    for n, (dry, hung, wet) in enumerate(pieces):
        facts |= {f"pieces-{n}-dry_g": dry, f"pieces-{n}-suspended_g": hung, f"pieces-{n}-wet_g": wet}
    return facts | given


def text_of(client: Client, address: str) -> str:
    return " ".join(client.get(address).content.decode().split())


def test_pieces_are_kept_and_worked_out(recorder_client, recorder):
    body = ClayBodyFactory(name="Grey bar")
    data = sent(("52,31", "30.12", "53,46"), ("", "", ""), ("50", "", "51"), body=body.pk)

    answer = recorder_client.post(NEW, data)

    test = AbsorptionTest.objects.get()
    assert answer.headers["Location"] == test.get_absolute_url()
    assert (test.body, test.cone_order, test.created_by) == (body, CONE_6, recorder)
    assert [(one.position, one.dry_g) for one in test.pieces.all()] == [
        (1, Decimal("52.31")),
        (2, Decimal(50)),
    ]
    page = text_of(recorder_client, test.get_absolute_url())
    # 1.15 / 52.31 and 1 / 50: 2.198 and 2 %, mean 2.099.
    assert "<strong>2.10 %</strong>" in page
    assert "from 2.00 to 2.20 %" in page
    assert "<strong>Ib</strong>, over 0.5 to 3 %" in page
    assert "ISO 13006 / EN 14411" in page
    assert "2 of 5 pieces" in page
    assert "not a certificate" in page
    # Of the piece that was hung in water: P 4.93 %, B 2.241 g/cm³.
    assert "4.93 %" in page
    assert "2.241 g/cm³" in page


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        (("53.46", "", "52.31"), "Wet is lighter than dry"),
        (("52.31", "52.31", "53.46"), "weighs less than dry"),
        (("", "", "53.46"), "Write the dry mass"),
        (("52.31", "", ""), "mass with water in it"),
        (("heavy", "", "53.46"), "figure"),
        (("0", "", "53.46"), "at least 0.1 g"),
        (("52.3111", "", "53.46"), "thousandth"),
        (("", "", ""), "at least one piece"),
    ],
)
def test_a_mass_that_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(recorder_client, piece, words):
    answer = recorder_client.post(NEW, sent(piece, body=ClayBodyFactory().pk))

    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert "cut from one bar" in page
    assert all(f'value="{mass}"' in page for mass in piece if mass)
    assert not AbsorptionTest.everything.exists()


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"cone_order": ""}, "Choose the firing, or write the cone"),
        ({"cone_order": "blue"}, "blue"),
        ({"tested_on": "2099-01-01"}, "yet to come"),
        ({"body": ""}, "Choose the clay body"),
        ({"tile": "99-9"}, "99-9"),
        ({"method": "microwave"}, "microwave"),
        ({"tested_by": ""}, "Fill this in"),
    ],
)
def test_what_says_too_little_of_the_ware_is_refused(recorder_client, given, words):
    answer = recorder_client.post(NEW, sent(("50", "", "51"), **{"body": ClayBodyFactory().pk} | given))

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not AbsorptionTest.everything.exists()


@pytest.fixture
def fired_tile():
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    fired_outcomes(
        tile,
        FiringFactory(
            state=FiringState.UNLOADED, reached_number=10, reached_order=CONE_10, reached_source="witness"
        ),
    )
    return tile


def test_a_tile_says_its_clay_and_its_firing_by_itself(recorder_client, fired_tile):
    recorder_client.post(NEW, sent(("50", "", "51"), tile=fired_tile.label, cone_order=""))

    test = AbsorptionTest.objects.get()
    assert (test.body, test.firing) == (fired_tile.body, fired_tile.placements.get().firing)
    assert "cone 10" in text_of(recorder_client, test.get_absolute_url())
    assert test.get_absolute_url() in text_of(recorder_client, fired_tile.get_absolute_url())


def test_a_tile_is_not_put_into_a_firing_or_a_clay_it_never_was(recorder_client, fired_tile):
    other = FiringFactory(state=FiringState.FIRED)
    for given, words in (
        ({"firing": other.pk}, "was not in"),
        ({"body": ClayBodyFactory().pk}, "Leave the clay"),
    ):
        data = sent(("50", "", "51"), tile=fired_tile.label, cone_order="", **given)
        answer = recorder_client.post(NEW, data)

        assert answer.status_code == 422
        assert words in answer.content.decode()
    assert not AbsorptionTest.everything.exists()


def test_a_firing_and_a_cone_at_once_are_refused(recorder_client):
    firing = FiringFactory(state=FiringState.FIRED)
    answer = recorder_client.post(NEW, sent(("50", "", "51"), body=ClayBodyFactory().pk, firing=firing.pk))

    assert answer.status_code == 422
    assert "says the cone already" in answer.content.decode()


def test_masses_are_worked_out_while_they_are_typed(recorder_client):
    data = sent(("100", "", "102"), ("100", "", "99"))
    page = recorder_client.post(
        reverse("tiles:laboratory:worked"), data, headers={"HX-Request": "true"}
    ).content.decode()

    assert "2.00 %" in page
    assert "Piece 2: Wet is lighter than dry" in page
    assert not AbsorptionTest.everything.exists()


def test_the_form_begins_with_the_body_or_the_tile_asked_for(recorder_client, fired_tile):
    body = ClayBodyFactory()

    assert f'<option value="{body.pk}" selected>' in text_of(recorder_client, f"{NEW}?body={body.pk}")
    assert f'value="{fired_tile.label}"' in text_of(recorder_client, f"{NEW}?tile={fired_tile.label}")
    assert recorder_client.get(f"{NEW}?tile=blue&body=9999999999999999999999").status_code == 200


def test_an_edit_keeps_its_pieces_and_one_step_undoes_it(recorder_client):
    test = AbsorptionTestFactory(pieces=[(100, 102, None), (100, 103, 60)])
    edit = reverse("tiles:laboratory:edit_absorption", args=[test.pk])
    page = text_of(recorder_client, edit)
    assert 'value="103"' in page

    data = sent(("100", "", "101"), body=test.body.pk, stamp=test.stamp)
    answer = recorder_client.post(edit, data, follow=True)

    assert [one.wet_g for one in test.pieces.all()] == [101]
    before = AbsorptionTest.history.filter(id=test.pk).order_by("history_id").first().history_id
    undo = reverse("history:restore", args=["tiles", "absorptiontest", test.pk, before])
    assert undo in answer.content.decode()
    recorder_client.post(undo)
    assert [(one.wet_g, one.suspended_g) for one in test.pieces.all()] == [(102, None), (103, 60)]


def test_an_edit_that_leaves_the_clay_out_is_refused_under_the_name_it_had(recorder_client):
    test = AbsorptionTestFactory()
    address = reverse("tiles:laboratory:edit_absorption", args=[test.pk])
    page = recorder_client.post(address, sent(stamp=test.stamp, tested_on=""))

    assert page.status_code == 422
    assert f"Change {test}" in page.content.decode()


def test_what_another_weighed_meanwhile_is_shown_beside_what_was_typed(recorder_client):
    test = AbsorptionTestFactory(pieces=[(100, 102, None)])
    stale = test.stamp
    test.save()
    edit = reverse("tiles:laboratory:edit_absorption", args=[test.pk])

    answer = recorder_client.post(edit, sent(("100", "", "104"), body=test.body.pk, stamp=stale))

    assert answer.status_code == 409
    assert "dry 100, wet 104" in answer.content.decode()
    assert "dry 100, wet 102" in answer.content.decode()


def test_history_tells_of_each_piece(recorder_client):
    test = AbsorptionTestFactory(pieces=[(100, 102, None)])

    page = text_of(recorder_client, reverse("history:changes", args=["tiles", "absorptiontest", test.pk]))

    assert "piece 1 added" in page


def test_bodies_stand_against_cones_and_methods_are_not_mixed(viewer_client):
    body = ClayBodyFactory(name="Grey bar")
    AbsorptionTestFactory(body=body, pieces=[(100, 102, None)])
    AbsorptionTestFactory(body=body, pieces=[(100, 104, None)], tested_on=date(2026, 10, 20))
    AbsorptionTestFactory(body=body, pieces=[(100, 101, None)], method="soak")
    AbsorptionTestFactory(body=body, cone_order=CONE_10, pieces=[(100, 100.4, None)])

    page = text_of(viewer_client, INDEX)

    assert page.index("Cone 6") < page.index("Cone 10")
    assert "<strong>3.00 %</strong> ± 1.41" in page
    assert "2 pieces, 2 tests" in page
    assert "soaked, by no standard · 1 piece" in page
    assert "group Ia" in page
    assert page.count('class="lab-dot"') == 3
    assert page.count('class="lab-dot lab-dot--open"') == 1


def test_a_test_in_the_bin_counts_no_more(recorder_client):
    test = AbsorptionTestFactory()
    recorder_client.post(reverse("history:bin", args=["tiles", "absorptiontest", test.pk]))

    assert "Nothing weighed yet" in text_of(recorder_client, INDEX)
    assert recorder_client.get(test.get_absolute_url()).status_code == 404
    assert "Not weighed yet" in text_of(recorder_client, test.body.get_absolute_url())


def test_the_cone_follows_what_is_learned_of_the_firing(viewer_client):
    firing = FiringFactory(state=FiringState.UNLOADED)
    test = AbsorptionTestFactory(firing=firing, cone_order=None)
    assert "cone not known" in text_of(viewer_client, test.get_absolute_url())

    type(firing).objects.filter(pk=firing.pk).update(
        reached_number=10, reached_order=CONE_10, reached_source="witness"
    )

    assert "cone 10" in text_of(viewer_client, test.get_absolute_url())


def test_a_viewer_reads_and_writes_nothing(viewer_client):
    test = AbsorptionTestFactory()

    assert "Weigh pieces" not in text_of(viewer_client, INDEX)
    assert "Change" not in text_of(viewer_client, test.get_absolute_url())
    assert viewer_client.get(NEW).status_code == 403


@pytest.mark.parametrize("page", ["index", "body", "tile"])
def test_more_tests_cost_no_more_queries(viewer_client, fired_tile, page):
    address = {
        "index": INDEX, "body": fired_tile.body.get_absolute_url(), "tile": fired_tile.get_absolute_url()
    }[page]  # fmt: skip
    firing = fired_tile.placements.get().firing
    facts = {"body": fired_tile.body, "tile": fired_tile, "firing": firing, "cone_order": None}
    AbsorptionTestFactory(**facts)
    few = queries_of(viewer_client, address)
    for _ in range(6):
        AbsorptionTestFactory(**facts)

    assert queries_of(viewer_client, address) == few


@pytest.mark.parametrize("masses", [(100, 99, None), (100, 102, 100), (100, 102, 0), (0, 1, None)])
def test_the_database_itself_refuses_masses_that_cannot_be(masses):
    test = AbsorptionTestFactory(pieces=())
    dry_g, wet_g, suspended_g = masses

    with pytest.raises(IntegrityError), transaction.atomic():
        AbsorptionPiece.objects.create(
            test=test, position=1, dry_g=dry_g, wet_g=wet_g, suspended_g=suspended_g
        )


def test_the_database_itself_asks_for_a_firing_or_a_cone():
    for facts in ({"cone_order": None}, {"firing": FiringFactory()}):
        with pytest.raises(IntegrityError), transaction.atomic():
            AbsorptionTestFactory(**facts)

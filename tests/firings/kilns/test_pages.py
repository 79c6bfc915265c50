"""Kilns: entered with their shelves, drawn, changed, and what to heed beside them."""

import html
import re
from datetime import timedelta

import numpy as np
import pytest
from django.urls import reverse
from django.utils import timezone

from firings.curves.samples import packed
from firings.kilns.cautions import cautions_for
from firings.models import Kiln
from firings.vocabulary import KilnKind
from tests.counting import queries_of
from tests.factories import CurveFactory, FiringFactory, KilnFactory, PlacementFactory, ShelfFactory

pytestmark = pytest.mark.django_db
RAMP = packed(np.array([0.0, 36000.0]), [np.array([20.0, 1222.0])])

LIST, NEW = reverse("firings:kilns:list"), reverse("firings:kilns:new")
ORIEL = {
    "name": "Oriel",
    "kind": "electric",
    "power_kw": "9,6",
    "energy_price_per_kwh": "0.31",
    "elements_fitted_on": "2025-10-11",
    "note": "",
}


def shelves(*rows, initial=0):
    typed = {"shelves-TOTAL_FORMS": len(rows), "shelves-INITIAL_FORMS": initial}
    for n, row in enumerate(rows):
        values = {"pk": "", "position": "", "width_mm": "", "depth_mm": "", "height_mm": ""} | row
        typed |= {f"shelves-{n}-{name}": value for name, value in values.items()}
    return typed


def edit(kiln):
    return reverse("firings:kilns:edit", args=[kiln.pk])


def as_typed(shelf, **changes):
    names = ("pk", "position", "width_mm", "depth_mm", "height_mm")
    return {name: str(getattr(shelf, name) or "") for name in names} | changes


def test_of_a_row_that_may_stay_empty_nothing_is_called_needed(recorder_client):
    page = recorder_client.get(NEW).content.decode()
    above, rows = page.split("<legend>Shelves</legend>")

    assert "field-needed" in above
    assert "field-needed" not in rows


def test_the_list_makes_sense_when_empty(recorder_client):
    assert "No kiln yet" in recorder_client.get(LIST).content.decode()


def test_ten_more_kilns_ask_no_more_queries(viewer_client):
    ShelfFactory()
    few = queries_of(viewer_client, LIST)
    for _ in range(10):
        FiringFactory(kiln=ShelfFactory().kiln)

    assert queries_of(viewer_client, LIST) == few


def test_a_kiln_is_entered_with_its_shelves(recorder_client):
    rows = shelves(
        {"position": "1", "width_mm": "400", "depth_mm": "420", "height_mm": "150"}, {"position": "2"}, {}
    )
    recorder_client.post(NEW, ORIEL | rows)
    kiln = Kiln.objects.get()

    assert (kiln.name, str(kiln.power_kw)) == ("Oriel", "9.60")
    assert [(shelf.position, shelf.width_mm) for shelf in kiln.shelves.all()] == [(1, 400), (2, None)]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"name": ""}, "required"),
        ({"name": "oriel"}, "one of this name already"),
        ({"power_kw": "-3"}, "at least 0"),
        ({"power_kw": "strong"}, "is not a figure"),
        ({"kind": "steam"}, "not on the list. Choose"),
        ({"elements_fitted_on": "soon"}, "Write the day as"),
        (shelves({"position": "0"}), "at least 1"),
        (shelves({"position": "1"}, {"position": "1"}), "is written twice"),
        (shelves({"width_mm": "400"}), "Say which shelf it is"),
        (shelves({"position": "1", "width_mm": "9999"}), "at most 5000"),
    ],
)
def test_a_kiln_that_cannot_be_is_refused_and_stays_in_the_form(recorder_client, change, said):
    KilnFactory(name="Oriel")
    answer = recorder_client.post(NEW, ORIEL | {"name": "Mill", "note": "By the door"} | shelves({}) | change)

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert "By the door" in answer.content.decode()
    assert Kiln.objects.count() == 1


def test_a_viewer_enters_no_kiln(viewer_client):
    assert viewer_client.post(NEW, ORIEL | shelves({})).status_code == 403


def test_two_shelves_change_places(recorder_client):
    low = ShelfFactory(position=1, width_mm=300)
    high = ShelfFactory(kiln=low.kiln, position=2, width_mm=400)
    rows = shelves(as_typed(low, position="2"), as_typed(high, position="1"), initial=2)
    recorder_client.post(edit(low.kiln), ORIEL | {"stamp": low.kiln.stamp} | rows)

    assert [(shelf.pk, shelf.position) for shelf in low.kiln.shelves.all()] == [(high.pk, 1), (low.pk, 2)]


def test_an_empty_shelf_is_taken_out_and_one_that_held_tiles_stays(recorder_client):
    used = ShelfFactory(position=1)
    unused = ShelfFactory(kiln=used.kiln, position=2)
    PlacementFactory(shelf=used)
    kiln = used.kiln

    first = recorder_client.post(
        edit(kiln),
        ORIEL | {"stamp": 1} | shelves(as_typed(used), as_typed(unused) | {"DELETE": "on"}, initial=2),
    )
    second = recorder_client.post(
        edit(kiln), ORIEL | {"stamp": 2} | shelves(as_typed(used) | {"DELETE": "on"}, initial=1)
    )

    assert first.status_code == 302
    assert second.status_code == 422
    assert "Shelf 1 held tiles" in second.content.decode()
    assert list(kiln.shelves.all()) == [used]


def test_two_people_editing_see_both_versions(recorder_client, keeper_client):
    kiln = KilnFactory()
    keeper_client.post(edit(kiln), ORIEL | {"stamp": 1, "note": "theirs"} | shelves({}))
    answer = recorder_client.post(edit(kiln), ORIEL | {"stamp": 1, "note": "mine"} | shelves({}))

    assert answer.status_code == 409
    assert "mine" in answer.content.decode()
    assert "theirs" in answer.content.decode()


def test_a_kilns_page_draws_its_shelves_and_says_what_to_heed(viewer_client):
    shelf = ShelfFactory(kiln__name="Oriel", position=3)
    page = viewer_client.get(shelf.kiln.get_absolute_url()).content.decode()

    assert "<svg" in page
    assert "shelf 3: 400 × 400 mm, 150 mm room" in page
    assert "does not watch the kiln" in page
    assert "style=" not in page


@pytest.mark.parametrize("kind", KilnKind.values())
def test_every_kiln_is_watched_and_its_trade_is_deferred_to(kind):
    words = " ".join(cautions_for(kind))

    assert "does not watch the kiln" in words
    assert ("licensed electrician" in words) == (kind == "electric")
    assert ("licensed gas fitter" in words) == (kind in ("gas", "raku"))


def test_cautions_stand_where_the_work_is_done(recorder_client):
    planned, fired = FiringFactory(), FiringFactory(fired=True)
    PlacementFactory(firing=fired)
    pages = {
        name: recorder_client.get(reverse(name, args=[firing.number])).content.decode()
        for name, firing in (
            ("firings:logbook:firing", planned),
            ("tiles:loading:firing", planned),
            ("tiles:unloading:firing", fired),
        )
    }

    assert "does not watch the kiln" in pages["firings:logbook:firing"]
    assert "leave a dry foot" in pages["tiles:loading:firing"]
    assert "no test of whether ware is fit for food" in pages["tiles:unloading:firing"]


def test_energy_and_cost_a_month_are_drawn_beside_the_firings(viewer_client):
    kiln = KilnFactory()
    FiringFactory(
        kiln=kiln, fired=True, started_at=timezone.now() - timedelta(days=3), energy_kwh=42, cost=13
    )
    page = viewer_client.get(kiln.get_absolute_url())

    assert [plot.name for plot in page.context["bars"]] == ["Firings", "kWh", "Cost"]
    assert [plot.most for plot in page.context["bars"]] == [1, 42, 13]


def test_a_firing_without_energy_draws_no_energy(viewer_client):
    kiln = KilnFactory()
    FiringFactory(kiln=kiln, fired=True, started_at=timezone.now() - timedelta(days=3))
    page = viewer_client.get(kiln.get_absolute_url())

    assert [plot.name for plot in page.context["bars"]] == ["Firings"]


def test_the_last_firings_show_their_curves_on_one_scale(viewer_client):
    kiln = KilnFactory()
    firings = [FiringFactory(kiln=kiln, fired=True) for _ in range(3)]
    for firing in firings[:2]:
        CurveFactory(firing=firing, sensors=[{"name": "Kiln", "unit": "C", "counts": True}], samples=RAMP)
    page = viewer_client.get(kiln.get_absolute_url())
    sparks = {one.firing.pk: one.spark for one in page.context["firings"]}

    assert sparks[firings[0].pk] == sparks[firings[1].pk] != ""
    assert sparks[firings[2].pk] == ""
    assert page.content.decode().count("spark-line") == 2


def test_a_round_shelf_needs_its_diameter_only(recorder_client):
    rows = shelves({"position": 1, "shape": "round", "width_mm": 520}, {"shape": "rectangle"})
    answer = recorder_client.post(NEW, ORIEL | rows, follow=True)
    (shelf,) = Kiln.objects.get().shelves.all()

    assert (shelf.shape, shelf.width_mm, shelf.depth_mm) == ("round", 520, 520)
    assert "round, 520 mm across" in answer.content.decode()


def test_a_round_shelf_with_two_sizes_is_refused_and_nothing_typed_is_lost(recorder_client):
    rows = shelves({"position": 1, "shape": "round", "width_mm": 520, "depth_mm": 400})
    answer = recorder_client.post(NEW, ORIEL | rows)

    assert answer.status_code == 422
    assert "A round shelf is as deep as it is wide" in answer.content.decode()
    assert 'value="400"' in answer.content.decode()


def test_a_changed_kiln_goes_back_with_its_shelves_from_the_message(recorder_client):
    kiln = KilnFactory()
    low, high = ShelfFactory(kiln=kiln, position=1), ShelfFactory(kiln=kiln, position=2)
    typed = {"name": "Renamed", "kind": kiln.kind, "stamp": kiln.stamp}
    rows = shelves(as_typed(low, width_mm="123"), as_typed(high, DELETE="on"), initial=2)
    answer = recorder_client.post(edit(kiln), typed | rows)
    assert [shelf.width_mm for shelf in kiln.shelves.all()] == [123]
    page = recorder_client.get(answer["Location"]).content.decode()

    recorder_client.post(html.unescape(re.search(r'<form action="([^"]+)" method="post">', page)[1]))

    kiln.refresh_from_db()
    assert kiln.name != "Renamed"
    assert [shelf.width_mm for shelf in kiln.shelves.all()] == [low.width_mm, high.width_mm]


def test_a_shelf_added_since_and_in_use_keeps_a_kiln_as_it_is(recorder_client):
    kiln = KilnFactory()
    typed = {"name": kiln.name, "kind": kiln.kind, "stamp": kiln.stamp}
    answer = recorder_client.post(edit(kiln), typed | shelves({"position": "1", "width_mm": "400"}))
    page = recorder_client.get(answer["Location"]).content.decode()
    PlacementFactory(firing=FiringFactory(kiln=kiln), shelf=kiln.shelves.get())

    undo = html.unescape(re.search(r'<form action="([^"]+)" method="post">', page)[1])
    said = recorder_client.post(undo, follow=True).content.decode()

    assert "what was added since is in use" in said
    assert kiln.shelves.count() == 1


def test_two_kilns_are_entered_one_after_the_other(recorder_client):
    form = reverse("firings:kilns:new")
    typed = {"name": "Oriel", "kind": "electric", "energy_price_per_kwh": "0.31", "then": "next"}

    answer = recorder_client.post(form, typed | shelves({"position": "1"}))

    begun = recorder_client.get(answer["Location"]).context["form"]
    assert str(begun["energy_price_per_kwh"].value()) == "0.31"
    assert not begun["name"].value()


def test_a_kiln_never_fired_says_what_will_stand_there_and_plans_its_first_firing(recorder_client):
    kiln = KilnFactory()

    page = recorder_client.get(kiln.get_absolute_url()).content.decode()

    assert "After its first firing this shows" in page
    assert "The last twelve months as a table" not in page
    assert f"{reverse('firings:logbook:new')}?kiln={kiln.pk}" in page


def test_a_firing_planned_from_a_kilns_page_is_for_that_kiln(recorder_client):
    FiringFactory(kiln=KilnFactory())
    other = KilnFactory()

    begun = recorder_client.get(f"{reverse('firings:logbook:new')}?kiln={other.pk}").context["form"]

    assert begun["kiln"].value() == other.pk

"""A kiln's own correction moves the curves of later firings and nothing else, in the transaction of the change."""

from datetime import timedelta
from decimal import Decimal

import pypdfium2
import pytest
from django.urls import reverse

from firings import listeners
from firings.curves.services import let_count, take_off
from firings.logbook.facts import FiringFacts
from firings.logbook.services import change_firing, settle_reached_cone
from firings.models import Curve, Firing
from firings.offsets.queries import pairs_of
from studio.bin.services import put_in_bin, take_out_of_bin
from studio.models import StudioPreferences
from tests.factories import (
    GlazeFactory,
    KilnFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.firings.curves.kept import SPRING, curve_of, fired, read
from tiles.models import Outcome

pytestmark = pytest.mark.django_db


@pytest.fixture
def kiln():
    return KilnFactory()


@pytest.fixture
def learned(kiln) -> list[Firing]:
    """Three firings in which cone 6 just went down while the curve said 7.5."""
    firings = [fired(kiln, day) for day in range(3)]
    for firing in firings:
        curve_of(firing)
        read(firing)
    return firings


def test_three_firings_with_witness_cones_correct_the_next_curve(kiln, learned):
    judged = fired(kiln, 9)
    curve = curve_of(judged)
    judged.refresh_from_db()

    assert curve.heat["number"] == pytest.approx(7.53, abs=0.03)
    # as hot as the three before, by curve as by cones
    assert curve.corrected["number"] == pytest.approx(6.0, abs=0.02)
    assert curve.corrected["correction"]["n"] == 3
    assert (judged.reached_number, judged.reached_source) == (Decimal("6.00"), "curve")


def test_the_page_says_what_corrected_it_and_what_the_sensor_read(kiln, learned, viewer_client):
    judged = fired(kiln, 9)
    curve_of(judged)
    page = viewer_client.get(judged.get_absolute_url()).content.decode()

    assert "corrected by this kiln’s witness cones, −22 °C, n = 3, ±12 °C" in page
    assert "As the sensor read" in page


def test_two_firings_are_too_few(kiln, learned):
    third = learned[2]

    assert [pair.moment.firing_id for pair in pairs_of(kiln.pk)] == [firing.pk for firing in learned]
    assert third.curves.get().corrected == {}


def test_a_firing_is_never_judged_by_itself_nor_by_later_ones(kiln, learned):
    judged = fired(kiln, 9)
    curve = curve_of(judged)
    before = curve.corrected
    read(judged, 45)
    later = fired(kiln, 20)
    curve_of(later)
    read(later, 150)
    curve.refresh_from_db()

    assert curve.corrected == before
    assert judged.reached_source == "witness"


def test_what_is_learned_is_learned_from_curves_as_the_sensor_read(kiln, learned):
    fourth = fired(kiln, 9)
    curve = curve_of(fourth)
    read(fourth)

    assert curve.corrected["number"] != curve.heat["number"]
    assert pairs_of(kiln.pk)[3].curve == curve.heat["number"]


def test_another_kiln_is_not_corrected(learned):
    assert curve_of(fired(KilnFactory(), 9)).corrected == {}


def test_cones_read_later_move_the_firings_after_them(kiln, learned, recorder):
    judged = fired(kiln, 9)
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    outcomes = fired_outcomes(tile, judged)
    curve_of(judged)
    assert Outcome.objects.get(pk=outcomes[0].pk).reached_number == Decimal("6.00")

    for firing in learned:
        read(firing, 45, by=recorder)

    judged.refresh_from_db()
    assert judged.reached_number == pytest.approx(Decimal("5.5"), abs=Decimal("0.03"))
    assert Outcome.objects.get(pk=outcomes[0].pk).reached_number == judged.reached_number
    assert judged.history.first().history_user == recorder


def test_a_listener_that_refuses_takes_all_of_it_back(kiln, learned, monkeypatch):
    judged = fired(kiln, 9)
    curve = curve_of(judged)
    # the middle of three does not move for one alone
    read(learned[1], 30)

    def refuse(firing_ids):
        if judged.pk in firing_ids:
            raise RuntimeError("no")

    monkeypatch.setattr(listeners, "firings_changed", [refuse])
    with pytest.raises(RuntimeError):
        read(learned[2], 30)

    curve.refresh_from_db()
    judged.refresh_from_db()
    assert judged.reached_number == Decimal("6.00")
    assert curve.corrected["number"] == pytest.approx(6.0, abs=0.02)


def test_a_firing_in_the_bin_corrects_nothing_until_it_is_back(kiln, learned, recorder):
    judged = fired(kiln, 9)
    curve = curve_of(judged)
    put_in_bin(learned[0], by=recorder)
    curve.refresh_from_db()

    assert curve.corrected == {}

    take_out_of_bin(Firing.everything.get(pk=learned[0].pk), by=recorder)
    curve.refresh_from_db()

    assert curve.corrected["correction"]["n"] == 3


def test_a_curve_taken_off_or_set_aside_is_no_longer_learned_from(kiln, learned, recorder):
    judged = fired(kiln, 9)
    curve = curve_of(judged)
    cooler = curve_of(learned[0], 1180.0, counts_since=SPRING)
    let_count(cooler, by=recorder)
    curve.refresh_from_db()
    n_and_offset = curve.corrected["correction"]

    assert n_and_offset["n"] == 3
    assert pairs_of(kiln.pk)[0].curve == cooler.heat["number"]

    take_off(learned[1].curves.get(), by=recorder)
    curve.refresh_from_db()

    assert curve.corrected == {}


def facts_of(firing: Firing, **changed) -> FiringFacts:
    stated = {name: getattr(firing, name) for name in FiringFacts.__dataclass_fields__}
    return FiringFacts(**stated | changed)


def test_a_firing_moved_to_another_kiln_leaves_and_joins(kiln, learned, recorder):
    judged = fired(kiln, 9)
    curve = curve_of(judged)
    other = KilnFactory()
    first = Firing.objects.get(pk=learned[0].pk)
    change_firing(first.pk, first.stamp, facts_of(first, kiln_id=other.pk), by=recorder)
    curve.refresh_from_db()

    assert curve.corrected == {}
    assert len(pairs_of(other.pk)) == 1


def test_a_time_of_switching_off_ends_the_top_and_can_be_undone(kiln, recorder):
    firing = fired(kiln, 1)
    curve = curve_of(firing)
    long = curve.heat["number"]
    stamp = Firing.objects.get(pk=firing.pk).stamp
    off_at = firing.started_at + timedelta(hours=(1222 - 20) / 60, minutes=10)

    changed = change_firing(firing.pk, stamp, facts_of(firing, ended_at=off_at), by=recorder)
    curve.refresh_from_db()

    assert changed.stamp == stamp + 1
    assert curve.heat["hold_min"] == pytest.approx(10, abs=1)
    assert curve.heat["number"] == pytest.approx(6.65, abs=0.03)
    assert changed.reached_number == Decimal("6.65")

    change_firing(firing.pk, changed.stamp, facts_of(firing, ended_at=None), by=recorder)
    curve.refresh_from_db()
    assert curve.heat["number"] == long


def test_a_time_that_does_not_fit_the_log_is_said_and_not_taken(kiln, recorder):
    firing = fired(kiln, 1, ended_at=SPRING + timedelta(days=1, hours=3))
    curve = curve_of(firing)

    assert curve.heat["hold_min"] == pytest.approx(30, abs=1)
    assert any("does not fit" in "".join(map(str, words)) for words in curve.heat["warnings"])


def test_settling_twice_writes_a_curve_once(kiln, learned):
    judged = fired(kiln, 9)
    curve = curve_of(judged)
    versions = curve.history.count()
    settle_reached_cone(Firing.objects.get(pk=judged.pk))
    settle_reached_cone(Firing.objects.get(pk=learned[0].pk))

    assert curve.history.count() == versions


def test_a_reduction_firing_is_told_that_the_table_is_for_air(kiln, viewer_client):
    in_air, in_reduction = fired(kiln, 1), fired(kiln, 2, atmosphere="reduction")
    pages = []
    for firing in (in_air, in_reduction):
        curve_of(firing)
        pages.append(viewer_client.get(firing.get_absolute_url()).content.decode())

    assert ["Fired in reduction: the table is for air" in page for page in pages] == [False, True]
    assert all("It is the temperature at the cone that counts" in page for page in pages)


def test_pages_and_report_speak_the_studio_s_unit(kiln, learned, viewer_client):
    StudioPreferences.objects.update_or_create(pk=1, defaults={"temperature_unit": "F"})
    judged = fired(kiln, 9, controller_number=Decimal(2))
    curve_of(judged, 1150.0)
    page = viewer_client.get(judged.get_absolute_url()).content.decode()
    content = viewer_client.get(reverse("tiles:reports:firing", args=[judged.number])).content
    words = " ".join(sheet.get_textpage().get_text_range() for sheet in pypdfium2.PdfDocument(content))

    for said in (page, " ".join(words.split())):
        assert "cones, −39 °F, n = 3, ±22 °F" in said
        assert "model ±8.1 °F" in said
        assert "2102 °F" in said
        assert " °C" not in said.replace("Cracked the lid at 120 °C", "")


def test_damaged_readings_hold_up_nobody_and_cost_no_figure(kiln, learned, recorder):
    judged = fired(kiln, 9)
    curve = curve_of(judged)
    Curve.objects.filter(pk=curve.pk).update(samples=b"damaged")
    for firing in learned:
        read(firing, 45, by=recorder)
    curve.refresh_from_db()

    assert curve.corrected["number"] == pytest.approx(6.0, abs=0.02)

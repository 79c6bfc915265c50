"""A batch's page: readings kept, refused, changed, binned; drift shown; water worked out."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from tests.factories import BatchReadingFactory, GlazeBatchFactory
from tiles.models import BatchReading

pytestmark = pytest.mark.django_db

READING = {
    "taken_on": "2026-10-20", "specific_gravity": "1,46", "flow_s": "21", "flow_cup": "iso_6", "temp_c": "18",
    "water_ml": "", "note": "after a week's rest",
}  # fmt: skip


@pytest.fixture
def batch():
    return GlazeBatchFactory(
        lot="26-900",
        opened_on=date(2026, 9, 1),
        specific_gravity=Decimal("1.45"),
        flow_s=20,
        flow_cup="iso_6",
    )


def new(batch):
    return reverse("tiles:laydown:new_reading", args=[batch.pk])


def test_a_reading_is_kept_with_who_took_it(recorder_client, recorder, batch):
    answer = recorder_client.post(new(batch), READING)

    assert answer.status_code == 302
    assert answer.headers["Location"] == batch.get_absolute_url()
    kept = BatchReading.objects.get()
    assert (kept.specific_gravity, kept.flow_s, kept.created_by) == (Decimal("1.46"), 21, recorder)
    page = recorder_client.get(batch.get_absolute_url()).content.decode()
    assert "after a week&#x27;s rest" in page
    assert "as the lot was entered" in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"specific_gravity": "14.6"}, "2.5"),
        ({"specific_gravity": "thick"}, "figure"),
        ({"flow_cup": ""}, "Say which cup"),
        ({"specific_gravity": "", "flow_s": "", "flow_cup": "", "note": ""}, "at least one figure"),
        ({"taken_on": "2099-01-01"}, "yet to come"),
        ({"taken_on": "yesterday"}, "date"),
    ],
)
def test_a_slip_is_told_and_nothing_typed_is_lost(recorder_client, batch, typed, words):
    answer = recorder_client.post(new(batch), READING | typed)

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert 'value="18"' in answer.content.decode()
    assert not BatchReading.everything.exists()


def test_a_slop_that_settled_is_pointed_out(viewer_client, batch):
    BatchReadingFactory(batch=batch, taken_on=date(2026, 10, 2), specific_gravity=Decimal("1.49"))

    page = viewer_client.get(batch.get_absolute_url()).content.decode()

    assert "SG is 0.04 above the first" in page
    assert "Not as it was at first" in page
    assert "drift-dot--beyond" in page


def test_what_was_put_right_again_is_no_longer_pointed_out_at_the_top(viewer_client, batch):
    for n, gravity in enumerate(("1.49", "1.455")):
        BatchReadingFactory(batch=batch, taken_on=date(2026, 10, 2 + n), specific_gravity=Decimal(gravity))

    assert "Not as it was at first" not in viewer_client.get(batch.get_absolute_url()).content.decode()


def test_a_binned_reading_counts_no_more(recorder_client, recorder, batch):
    reading = BatchReadingFactory(batch=batch, specific_gravity=Decimal("1.6"))
    recorder_client.post(reverse("history:bin", args=["tiles", "batchreading", reading.pk]))

    page = recorder_client.get(batch.get_absolute_url()).content.decode()

    assert "1.600" not in page
    assert BatchReading.everything.get().is_binned


def test_the_page_says_how_much_water_thins_it(viewer_client, batch):
    asked = {"volume_ml": "11200", "sg_now": "1.75", "sg_wanted": "1,5"}

    page = viewer_client.get(batch.get_absolute_url(), asked).content.decode()

    assert "Add 5600 ml of water" in page


@pytest.mark.parametrize("wanted", ["1.8", "thin", "", "1"])
def test_water_that_would_thicken_is_refused_in_words(viewer_client, batch, wanted):
    asked = {"volume_ml": "1000", "sg_now": "1.5", "sg_wanted": wanted}

    page = viewer_client.get(batch.get_absolute_url(), asked).content.decode()

    assert "ml of water" not in page
    assert 'value="1000"' in page


def test_a_viewer_reads_and_writes_nothing(viewer_client, batch):
    assert "Keep the reading" not in viewer_client.get(batch.get_absolute_url()).content.decode()
    assert viewer_client.post(new(batch), READING).status_code == 403


def test_readings_cost_no_more_queries_when_there_are_many(viewer_client, batch):
    BatchReadingFactory(batch=batch)
    viewer_client.get(batch.get_absolute_url())
    with CaptureQueriesContext(connection) as few:
        viewer_client.get(batch.get_absolute_url())
    for n in range(20):
        BatchReadingFactory(batch=batch, taken_on=timezone.localdate() - timedelta(days=n))
    with CaptureQueriesContext(connection) as many:
        viewer_client.get(batch.get_absolute_url())

    assert len(many) == len(few)


def test_the_database_itself_refuses_a_time_without_a_cup_and_an_empty_reading(batch):
    for facts in ({"flow_s": 20, "specific_gravity": None}, {"specific_gravity": None}):
        with pytest.raises(IntegrityError), transaction.atomic():
            BatchReadingFactory(batch=batch, **facts)

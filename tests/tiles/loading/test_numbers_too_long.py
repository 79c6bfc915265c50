"""Numbers no database can hold are refused in words, not by a failing page."""

import pytest
from django.urls import reverse

from tests.factories import FiringFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("sent", ["9" * 20, "-1", "1e3", "²"])
def test_a_ticked_tile_that_can_be_no_number_is_refused(recorder_client, sent):
    firing = FiringFactory()
    address = reverse("tiles:loading:firing", args=[firing.number])

    assert recorder_client.post(address, {"tiles": [sent]}).status_code == 422


@pytest.mark.parametrize("sent", ["9" * 20, "²"])
def test_a_ticked_body_that_can_be_no_number_is_refused(recorder_client, sent):
    answer = recorder_client.post(
        reverse("tiles:recording:new"), {"do": "save", "varying": "body", "bodies": [sent]}
    )

    assert answer.status_code == 422


@pytest.mark.parametrize("what", ["undo", "undo_cones"])
def test_an_undo_of_what_can_be_no_step_says_that_nothing_is_left(recorder_client, what):
    firing = FiringFactory()
    address = reverse(f"tiles:loading:{what}", args=[firing.number, "9" * 20, "9" * 21])
    page = recorder_client.post(address, follow=True)

    assert "is left to undo" in page.content.decode()

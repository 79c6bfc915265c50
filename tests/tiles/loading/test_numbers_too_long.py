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

"""Lines of the log: which request they belong to, and what is never in them."""

import json
import logging

import pytest
from django.conf import settings
from django.test import Client
from pythonjsonlogger.json import JsonFormatter

from studio.logs.marks import Marking

pytestmark = pytest.mark.django_db


@pytest.fixture
def lines(caplog):
    """What was logged, as the settings would write it for a machine."""
    caplog.set_level(logging.INFO, logger="tilewright.requests")
    caplog.handler.addFilter(Marking())
    form = {**settings.LOGGING["formatters"]["json"]}
    form.pop("()")
    formatter = JsonFormatter(form.pop("format"), **form)
    yield lambda: [json.loads(formatter.format(record)) for record in caplog.records]
    caplog.handler.filters.clear()


def test_each_request_is_a_line_a_machine_can_read(recorder_client: Client, recorder, lines):
    answer = recorder_client.get("/catalogue/", headers={"x-request-id": "from-the-proxy.1"})

    [line] = lines()
    assert line["page"] == "tiles:catalogue:index"
    assert (line["method"], line["status"], line["person"]) == ("GET", 200, str(recorder.pk))
    assert line["took_ms"] > 0
    assert line["request"] == answer.headers["X-Request-ID"] == "from-the-proxy.1"


@pytest.mark.parametrize("given", ["", "two\nlines", '"}', "x" * 65])
def test_what_is_no_mark_is_not_written_down(client: Client, lines, given):
    mark = client.get("/healthz", headers={"x-request-id": given}).headers["X-Request-ID"]

    assert mark != given
    assert len(mark) == 16
    assert lines()[0]["request"] == mark


def test_a_secret_link_and_what_was_asked_stay_out_of_the_log(client: Client, lines, caplog):
    client.get("/come-in/a-secret-token/")
    client.post("/sign-in/", {"username": "rowan", "password": "oval kiln on the hill"})
    client.get("/results/?q=a+private+word")

    written = json.dumps(lines())
    assert len(lines()) == 3
    assert not [word for word in ("secret-token", "oval kiln", "rowan", "private") if word in written]

"""The demo's loggers: each file reads back as the firing it tells of."""

from datetime import datetime

import pytest

from firings.curves.outlook import look
from firings.curves.reading import Choice
from studio.demo.firing_plan import FIRINGS, PROGRAMMES, programme_of
from studio.demo.logs import LOGGERS, log_of

WITNESSED = [one for one in FIRINGS if one.evidence == "witness" and one.state in ("fired", "unloaded")]


@pytest.mark.parametrize("one", WITNESSED, ids=lambda one: f"firing {one.number}")
def test_a_log_comes_near_the_cone_its_firing_reached(one):
    _, data = log_of(
        one.kiln, PROGRAMMES[programme_of(one)], one.reached, datetime(2026, 3, 4, 7, 10), one.number
    )
    found = look(data, Choice())

    assert found.heat["number"] == pytest.approx(one.reached, abs=0.3)
    assert found.reading.read_as.guesses == []


def test_every_kiln_has_a_logger_that_writes_in_its_own_way():
    first_rows = {
        log_of(kiln, PROGRAMMES["Cone 6"], 6.0, datetime(2026, 3, 4, 7, 10), 1)[1].split(b"\n")[-1]
        for kiln in LOGGERS
    }

    assert len({(b";" in row, b"\t" in row) for row in first_rows}) == 3

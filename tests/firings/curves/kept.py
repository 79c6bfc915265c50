"""Firings with curves kept of them, and witness cones read, for the tests of all that rests on them."""

from datetime import UTC, datetime, timedelta

import numpy as np

from firings.curves.samples import packed
from firings.logbook.facts import WitnessReading
from firings.logbook.services import read_witness_cones, settle_reached_cone
from firings.models import Curve, Firing
from firings.offsets.queries import offset_for
from firings.offsets.services import save_heat, write_heat
from firings.vocabulary import ConeShape
from tests.factories import CONE_6, CurveFactory, FiringFactory

SPRING = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)


def curve_of(firing: Firing, top_c: float = 1222.0, **facts) -> Curve:
    """A curve at 60 °C/h to `top_c`, held for half an hour, logged each minute, its clock that of the firing."""
    corners_h = [0, (top_c - 20) / 60, (top_c - 20) / 60 + 0.5, (top_c - 20) / 60 + 5]
    times = np.arange(0, corners_h[-1] * 3600, 60.0)
    temps = np.interp(times / 3600, corners_h, [20, top_c, top_c, 400])
    curve = CurveFactory(
        firing=firing,
        started_at=firing.started_at,
        sensors=[{"name": "Kiln", "unit": "C", "counts": True}],
        sample_count=len(times),
        samples=packed(times, [temps]),
        **facts,
    )
    write_heat(curve, firing, offset_for(firing))
    save_heat(curve)
    settle_reached_cone(firing)
    return curve


def fired(kiln, day: int, **facts) -> Firing:
    return FiringFactory(kiln=kiln, fired=True, started_at=SPRING + timedelta(days=day), **facts)


def read(firing: Firing, bend_deg: int = 90, order: int = CONE_6, *, by=None) -> None:
    read_witness_cones(
        firing.pk, [WitnessReading(order, ConeShape.SELF_SUPPORTING.value, None, "", bend_deg)], by=by
    )
    firing.refresh_from_db()

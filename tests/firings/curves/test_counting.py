"""Which of a firing's curves counts: one rule, for pages, offsets and the reached cone alike."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection

from firings.curves.queries import curves_of
from firings.kilns.queries import knowledge_of
from firings.models import Curve
from firings.offsets.queries import pairs_of
from firings.programmes.queries import kiln_figures
from tests.factories import CurveFactory, FiringFactory, KilnFactory

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 10, 14, 12, 0, tzinfo=UTC)


def test_the_curve_chosen_last_counts_whichever_was_brought_in_last():
    firing = FiringFactory()
    chosen = CurveFactory(firing=firing, counts_since=NOON + timedelta(hours=1))
    other = CurveFactory(firing=firing, counts_since=NOON)
    stray = CurveFactory(counts_since=NOON)

    assert curves_of(firing) == [chosen, other]
    assert firing.curves.first() == chosen
    assert set(Curve.objects.counting()) == {chosen, stray}


def test_of_two_at_the_same_moment_the_later_one_counts():
    firing = FiringFactory()
    _, later = (CurveFactory(firing=firing, counts_since=NOON) for _ in range(2))

    assert curves_of(firing)[0] == later
    assert list(Curve.objects.counting()) == [later]


def test_offset_drift_and_forecast_learn_from_the_same_curve():
    kiln = KilnFactory()
    for day in range(6):
        started_at = NOON + timedelta(days=day)
        firing = FiringFactory(
            kiln=kiln, fired=True, started_at=started_at, reached_source="witness", reached_number=Decimal(6)
        )
        CurveFactory(firing=firing, counts_since=NOON, heat={"number": 9.0})
        CurveFactory(firing=firing, counts_since=NOON + timedelta(hours=1), heat={"number": 5.0})
    known = knowledge_of(kiln)
    (by_curve,) = known.drifts

    assert [pair.numbers for pair in pairs_of(kiln.pk)] == [(6.0, 5.0)] * 6
    assert known.offset.offset_c.n == by_curve.lasting.n == 6
    assert known.offset.offset_c.value == pytest.approx(33, abs=1)
    assert by_curve.lasting.value == pytest.approx(-known.offset.offset_c.value)
    assert kiln_figures(kiln).sensor.offset_c == known.offset.offset_c.value


def test_firings_without_a_cone_or_in_the_bin_teach_nothing(keeper):
    kiln = KilnFactory()
    seen = {"kiln": kiln, "fired": True, "reached_source": "witness"}
    cool, binned, planned, bare = (FiringFactory(**seen) for _ in range(4))
    CurveFactory(firing=cool, heat={"number": None})
    CurveFactory(firing=bare)
    CurveFactory(firing=binned, heat={"number": 6.0})
    binned.put_in_bin(by=keeper)
    CurveFactory(firing=planned, heat={"number": 6.0})
    planned.state = "planned"
    planned.save()

    assert pairs_of(kiln.pk) == []


def test_the_moment_kept_among_the_figures_goes_to_its_column_and_back():
    migration = import_module("firings.migrations.0004_curve_counts_and_is_corrected")
    dated = CurveFactory(heat={"number": 6.0, "counts_since": NOON.isoformat()})
    undated = CurveFactory(heat={"number": 5.0})
    schema_editor = SimpleNamespace(connection=connection)
    migration.carry(apps, schema_editor)

    dated.refresh_from_db()
    undated.refresh_from_db()
    assert (dated.counts_since, dated.heat) == (NOON, {"number": 6.0})
    assert undated.heat == {"number": 5.0}
    assert dated.history.last().counts_since == NOON

    migration.carry_back(apps, schema_editor)
    dated.refresh_from_db()
    assert datetime.fromisoformat(dated.heat["counts_since"]) == NOON

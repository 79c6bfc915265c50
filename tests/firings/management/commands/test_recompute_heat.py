"""All heat work anew in one command: only what changed is written, and outcomes follow."""

import json
from datetime import timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from firings import listeners
from firings.models import Curve, Firing
from firings.notice import notice_from
from tests.factories import FiringFactory, GlazeFactory, KilnFactory, TileFactory, fired_outcomes, glaze_tile
from tests.firings.curves.kept import SPRING, curve_of, fired, read
from tiles.models import Outcome

pytestmark = pytest.mark.django_db


def answer(*options: str) -> dict:
    out = StringIO()
    call_command("recompute_heat", "--json", *options, stdout=out)
    return json.loads(out.getvalue())


def out_of_date(curve: Curve) -> None:
    """As an older model left it."""
    heat = curve.heat | {"number": 5.0, "interval": curve.heat["interval"] | {"value": 5.0, "low": 4.5}}
    Curve.objects.filter(pk=curve.pk).update(heat=heat)
    Firing.objects.filter(pk=curve.firing_id).update(reached_number=Decimal("5.00"), reached_order=28)


def test_nothing_is_written_and_nobody_told_where_nothing_changed(monkeypatch):
    kiln = KilnFactory()
    for day in range(3):
        firing = fired(kiln, day)
        curve_of(firing)
        read(firing)
    curve_of(fired(kiln, 9))
    versions, told = Curve.history.count(), []
    monkeypatch.setattr(listeners, "firings_changed", [told.append])

    assert answer() == {"firings": 4, "curves": 4, "changed": []}
    assert Curve.history.count() == versions
    assert told == []


def test_what_changed_is_written_and_outcomes_follow():
    firing = fired(KilnFactory(), 1)
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    outcomes = fired_outcomes(tile, firing)
    curve = curve_of(firing)
    was = Firing.objects.get(pk=firing.pk).reached_number
    out_of_date(curve)

    found = answer()

    assert found["changed"] == [{"firing": firing.number, "reached_before": 5.0, "reached_after": float(was)}]
    assert Outcome.objects.get(pk=outcomes[0].pk).reached_number == was
    assert Curve.objects.get().heat == curve.heat


def test_one_firing_by_its_number_and_what_learns_from_it():
    kiln = KilnFactory()
    learned = [fired(kiln, day) for day in range(3)]
    for firing in learned:
        curve_of(firing)
        read(firing)
    later = curve_of(fired(kiln, 9))
    stray = curve_of(fired(KilnFactory(), 1))
    for curve in (*Curve.objects.filter(firing__in=learned), stray):
        out_of_date(curve)
    Firing.objects.filter(pk__in=[firing.pk for firing in learned]).update(reached_number=6, reached_order=30)

    numbers = [option for firing in learned for option in ("--firing", str(firing.number))]
    assert len(answer(*numbers)["changed"]) == 3
    assert Curve.objects.get(pk=later.pk).corrected == later.corrected
    assert Curve.objects.get(pk=stray.pk).heat["number"] == 5.0


def test_figures_kept_before_warnings_were_told_apart_are_split():
    curve = curve_of(fired(KilnFactory(), 1, ended_at=SPRING + timedelta(days=1, hours=3)))
    summed = curve.heat["warnings"]
    as_words = [str(notice_from(one)) for one in summed]
    Curve.objects.filter(pk=curve.pk).update(
        read_as={}, heat=curve.heat | {"warnings": ["Put in their place: 1 row.", *as_words]}
    )
    answer()
    after = Curve.objects.get(pk=curve.pk)

    assert len(summed) > 1
    assert after.heat["warnings"] == summed
    assert after.read_as["noticed"] == ["Put in their place: 1 row."]


def test_words_for_people():
    out_of_date(curve_of(fired(KilnFactory(), 1, number=231)))
    out = StringIO()
    call_command("recompute_heat", stdout=out)

    assert "F-0231: reached cone 5.00 to 7.53" in out.getvalue()
    assert "Curves summed: 1, of firings: 1." in out.getvalue()


def test_firings_that_are_not_there_are_named():
    FiringFactory(number=7)

    with pytest.raises(CommandError, match="no firing F-0099"):
        answer("--firing", "99")
    with pytest.raises(CommandError, match="F-0007 has no logged curve"):
        answer("--firing", "7")
    with pytest.raises(CommandError, match="invalid int value"):
        answer("--firing", "seven")

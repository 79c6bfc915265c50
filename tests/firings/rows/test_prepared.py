"""Questions whose SQL is written once answer as the querysets they were written from."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from firings.rows.queries import Prepared, PreparedByText
from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tiles.models import Glaze, Outcome

pytestmark = pytest.mark.django_db

COLUMNS = (
    "pk",
    "fired_on",
    "reached_number",
    "run_mm",
    "runs_off",
    "textured",
    "judged_at",
    "tile__number",
    "body__name",
)


def asked(among):
    return Outcome.objects.filter(among("pk")).order_by("-pk").values_list(*COLUMNS)


def by_hand(keys):
    return [*Outcome.objects.filter(pk__in=keys).order_by("-pk").values_list(*COLUMNS)]


def fired() -> list[int]:
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2, "band 2": 3}))
    return [one.pk for one in fired_outcomes(tile, FiringFactory(fired=True))]


def test_rows_are_what_the_queryset_gives_dates_figures_and_all():
    keys = fired()
    Outcome.objects.filter(pk=keys[0]).update(run_mm=Decimal("2.5"), runs_off=True)
    prepared = Prepared(asked)

    for some in (keys, keys[:1], [*keys, 999_999], []):
        assert prepared.rows(some) == by_hand(some)
    assert any(row[3] == Decimal("2.5") and row[4] is True for row in prepared.rows(keys))


def test_the_same_words_are_sent_whatever_the_number_of_keys():
    prepared = Prepared(asked)
    with CaptureQueriesContext(connection) as sent:
        prepared.rows(range(1, 4))
        prepared.rows(range(1, 2_000))

    assert len(sent) == 2


def test_many_more_keys_than_a_database_takes_as_values():
    keys = fired()

    assert [row[0] for row in Prepared(asked).rows([*keys, *range(10**7, 10**7 + 300_000)])] == sorted(
        keys, reverse=True
    )


def test_what_is_asked_by_a_text_is_that_text_whatever_stands_in_it():
    glazes = [GlazeFactory(name=name) for name in ("Fog", "Fog'; --", "\x7f%s", "[-1]")]
    prepared = PreparedByText(lambda name: Glaze.objects.filter(name=name).values_list("pk", "name"))

    for glaze in glazes:
        assert prepared.rows(glaze.name) == [(glaze.pk, glaze.name)]
    assert prepared.rows("fo") == []

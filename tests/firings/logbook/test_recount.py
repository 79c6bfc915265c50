"""A studio of earlier years counts its firings as today's are counted once it is brought up to date."""

from decimal import Decimal
from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection

from firings.models import Firing
from tests.factories import (
    CONE_5,
    CONE_6,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Outcome

pytestmark = pytest.mark.django_db

editor = SimpleNamespace(connection=connection)


def test_firings_and_their_results_count_anew():
    between = FiringFactory(
        fired=True, target_order=CONE_5, reached_number=Decimal("5.55"), reached_order=CONE_6
    )
    close = FiringFactory(
        fired=True, target_order=CONE_5, reached_number=Decimal("5.80"), reached_order=CONE_6
    )
    planned = FiringFactory(target_order=CONE_5)
    for firing in (between, close):
        fired_outcomes(glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2})), firing)

    import_module("firings.migrations.0008_reached_cone_counts").count_firings(apps, editor)
    import_module("tiles.migrations.0023_reached_cone_counts").count_outcomes(apps, editor)

    assert dict(Firing.objects.values_list("pk", "reached_order")) == {
        between.pk: CONE_5,
        close.pk: CONE_6,
        planned.pk: None,
    }
    assert dict(Outcome.objects.values_list("firing", "reached_order")) == {
        between.pk: CONE_5,
        close.pk: CONE_6,
    }

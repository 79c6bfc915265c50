"""A server killed hard in the midst of making tiles: all of them or none, and the next one goes on."""

import os
import signal
import subprocess
import sys

import pytest
from django.core.management import call_command
from django.db import connection

from tests.factories import GlazeFactory, TileFactory, glaze_tile
from tiles.models import Coverage, Layer, Tile, Zone

pytestmark = pytest.mark.django_db(transaction=True)

# The tile is glazed anew, and the process dies at the given write.
GLAZE_AND_DIE = """
import os, signal, sys
import django
from django.conf import settings
settings.DATABASES["default"]["NAME"] = sys.argv[1]
django.setup()
from django.db import connection, transaction
from tests.factories import GlazeFactory, TileFactory, glaze_tile
writes = 0
def die(execute, statement, params, many, context):
    global writes
    writes += statement.startswith("INSERT")
    if writes > int(sys.argv[2]):
        os.kill(os.getpid(), signal.SIGKILL)
    return execute(statement, params, many, context)
with connection.execute_wrapper(die), transaction.atomic():
    tile = TileFactory(number=30_001, form__name="Killed", body__name="Killed")
    glaze_tile(tile, (GlazeFactory(name="Killed"), {"band 1": 1, "band 2": 2}))
"""


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
@pytest.mark.parametrize("writes", [1, 4, 9, 12])
def test_a_tile_is_whole_or_not_there(writes):
    glaze_tile(TileFactory(number=30_000), (GlazeFactory(name="Before"), {"band 1": 1}))
    before = [model.objects.count() for model in (Tile, Zone, Layer, Coverage)]

    killed = subprocess.run(
        [sys.executable, "-c", GLAZE_AND_DIE, str(connection.settings_dict["NAME"]), str(writes)],
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings"},
        check=False,
    )

    assert killed.returncode == -signal.SIGKILL
    assert [model.objects.count() for model in (Tile, Zone, Layer, Coverage)] == before
    glaze_tile(TileFactory(number=30_001), (GlazeFactory(name="Killed"), {"band 1": 1, "band 2": 2}))
    call_command("check_conditions")

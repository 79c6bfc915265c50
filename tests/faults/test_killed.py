"""A server killed hard in the midst of making tiles: all of them or none, and the next one goes on."""

import os
import re
import signal
import subprocess
import sys

import pytest
from django.core.management import call_command
from django.db import connection

from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile
from tests.tiles.unloading.test_pages import typed
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


# A person judges three zones of a tile, and the server dies at the given write of that request.
JUDGE_AND_DIE = """
import os, signal, sys
import django
from django.conf import settings
settings.DATABASES["default"]["NAME"] = sys.argv[1]
settings.ALLOWED_HOSTS = ["testserver"]
settings.SECURE_SSL_REDIRECT = False
django.setup()
from django.db import connection
from django.test import Client
from studio.models import Person
from tests.tiles.unloading.test_pages import typed
client = Client()
client.force_login(Person.objects.get(pk=sys.argv[2]))
writes = 0
def die(execute, statement, params, many, context):
    global writes
    writes += statement.startswith(("INSERT INTO", "UPDATE"))
    if writes > int(sys.argv[4]):
        os.kill(os.getpid(), signal.SIGKILL)
    return execute(statement, params, many, context)
with connection.execute_wrapper(die):
    answer = client.post(sys.argv[3], typed(1, 4, 5))
print(answer.status_code, writes)
"""


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
@pytest.mark.parametrize("writes", [0, 2, 5])
def test_the_page_opened_after_the_server_died_shows_what_was_kept_and_takes_it_again(
    recorder, recorder_client, writes
):
    firing = FiringFactory(number=231, fired=True, reached_number="5.80", reached_source="witness")
    tile, kept = (
        glaze_tile(TileFactory(number=number), (GlazeFactory(), {"band 1": 1, "texture": 2, "back": 3}))
        for number in (1042, 1043)
    )
    for one in (tile, kept):
        fired_outcomes(one, firing)
    recorder_client.post(f"/firings/231/unload/{kept.label}/judge/", typed(1, 4, 5))
    address = f"/firings/231/unload/{tile.label}/judge/"
    assert judged_on_the_page(recorder_client) == {kept.label: 3, tile.label: 0}

    told = [str(connection.settings_dict["NAME"]), str(recorder.pk), address, str(writes)]
    killed = subprocess.run(
        [sys.executable, "-c", JUDGE_AND_DIE, *told],
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "studio.settings"},
        check=False,
        capture_output=True,
        text=True,
    )

    assert killed.returncode == -signal.SIGKILL, killed.stdout + killed.stderr
    assert judged_on_the_page(recorder_client) == {kept.label: 3, tile.label: 0}
    assert recorder_client.post(address, typed(1, 4, 5)).status_code == 302
    assert judged_on_the_page(recorder_client) == {kept.label: 3, tile.label: 3}
    call_command("check_conditions")


def judged_on_the_page(client) -> dict[str, int]:
    """How many zones of each tile the unload page shows as judged satin."""
    page = client.get("/firings/231/unload/").content.decode()
    rows = re.split(r'<li class="unload-row"', page)[1:]
    return {re.search(r'data-label="([^"]+)"', row)[1]: row.count("satin, opaque") for row in rows}

"""Several processes on one studio: nobody's work is lost, and nobody is told that the database is locked."""

import subprocess
import sys
from os import environ

import pytest
from django.db import connection

from tests.factories import GlazeFactory
from tiles.models import Glaze

pytestmark = pytest.mark.django_db(transaction=True)

SERVERS, WRITES = 3, 25

# A server's part: each edit claims the record, adds to what stands there, and saves with its history.
SERVE = """
import sys
import django
from django.conf import settings
settings.DATABASES["default"]["NAME"] = sys.argv[1]
django.setup()
from django.db import transaction
from tiles.models import Glaze
for _ in range(int(sys.argv[2])):
    with transaction.atomic():
        glaze = Glaze.objects.select_for_update().get()
        glaze.note = str(int(glaze.note) + 1)
        glaze.save()
"""


def test_edits_by_three_servers_at_once_are_all_kept():
    GlazeFactory(note="0")
    command = [sys.executable, "-c", SERVE, str(connection.settings_dict["NAME"]), str(WRITES)]
    servers = [
        subprocess.Popen(command, env={**environ, "DJANGO_SETTINGS_MODULE": "studio.settings"})
        for _ in range(SERVERS)
    ]

    assert [server.wait(60) for server in servers] == [0] * SERVERS
    glaze = Glaze.objects.get()
    assert glaze.note == str(SERVERS * WRITES)
    assert glaze.stamp == 1 + SERVERS * WRITES
    assert Glaze.history.count() == 1 + SERVERS * WRITES

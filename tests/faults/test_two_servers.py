"""Several processes on one studio: nobody's work is lost, and nobody is told that the database is locked."""

import subprocess
import sys
from os import environ

import pytest
from django.db import connection
from django.urls import reverse

from tests.factories import GlazeFactory
from tests.tiles.catalogue.test_pages import GLAZE
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


# A server of its own, that takes one page's form.
POST = """
import sys
import django
from django.conf import settings
settings.DATABASES["default"]["NAME"] = sys.argv[1]
settings.ALLOWED_HOSTS = ["testserver"]
django.setup()
from django.test import Client
from studio.models import Person
from tests.tiles.catalogue.test_pages import GLAZE
client = Client()
client.force_login(Person.objects.get())
answer = client.post(sys.argv[2], {**GLAZE, "note": "by the first", "stamp": sys.argv[3]})
assert answer.status_code == 302, answer.content.decode()
"""


def test_whoever_sends_later_to_another_server_is_shown_both(recorder_client):
    """The page was opened before; what was typed there and what was kept meanwhile stand side by side."""
    glaze = GlazeFactory(note="as it was")
    page = reverse("tiles:catalogue:edit_glaze", args=[glaze.pk])
    name = str(connection.settings_dict["NAME"])
    first = subprocess.run(
        [sys.executable, "-c", POST, name, page, str(glaze.stamp)],
        env={**environ, "DJANGO_SETTINGS_MODULE": "studio.settings"},
        check=False, capture_output=True, text=True, timeout=240,
    )  # fmt: skip
    assert first.returncode == 0, first.stderr

    answer = recorder_client.post(page, {**GLAZE, "note": "by the second", "stamp": glaze.stamp})

    assert answer.status_code == 409
    assert "by the first" in answer.content.decode()
    assert "by the second" in answer.content.decode()
    assert Glaze.objects.get().note == "by the first"
    assert "by the first" in recorder_client.get(glaze.get_absolute_url()).content.decode()


def test_edits_by_three_servers_at_once_are_all_kept():
    GlazeFactory(note="0")
    command = [sys.executable, "-c", SERVE, str(connection.settings_dict["NAME"]), str(WRITES)]
    servers = [
        subprocess.Popen(command, env={**environ, "DJANGO_SETTINGS_MODULE": "studio.settings"})
        for _ in range(SERVERS)
    ]

    assert [server.wait(240) for server in servers] == [0] * SERVERS
    glaze = Glaze.objects.get()
    assert glaze.note == str(SERVERS * WRITES)
    assert glaze.stamp == 1 + SERVERS * WRITES
    assert Glaze.history.count() == 1 + SERVERS * WRITES

"""What a monitoring system is told, and who else is not."""

import os
import re
import subprocess
import sys

import pytest
from django.test import Client
from prometheus_client.parser import text_string_to_metric_families

from studio.models import Backup
from tests.factories import FiringFactory, GlazeFactory, TileFactory, fired_outcomes, glaze_tile

pytestmark = pytest.mark.django_db

KEY = "a key of a studio"


@pytest.fixture
def watched(settings):
    settings.METRICS_KEY = KEY


def ask(client: Client, key: str = KEY):
    return client.get("/metrics", headers={"authorization": f"Bearer {key}"})


def figures(answer) -> dict[str, float]:
    """By the parser of the format's own library."""
    return {
        sample.name: sample.value
        for family in text_string_to_metric_families(answer.content.decode())
        for sample in family.samples
    }


def test_a_studio_that_is_not_watched_has_no_such_page(client: Client):
    assert ask(client).status_code == 404


@pytest.mark.parametrize("key", ["", "another", KEY + "x", KEY[:-1], "ключ"])
def test_without_the_key_nothing_is_told(client: Client, watched, key):
    answer = ask(client, key)

    assert answer.status_code == 401
    assert b"tilewright" not in answer.content


def test_the_studios_figures_are_told(client: Client, watched):
    outcomes = fired_outcomes(
        glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 1, "band 2": 2})), FiringFactory(fired=True)
    )
    told = figures(ask(client))

    assert told["tilewright_tiles"] == 1
    assert told["tilewright_outcomes_to_judge"] == told["tilewright_outcomes_fired"] == len(outcomes)
    assert told["tilewright_disk_free_bytes"] > 0
    assert "tilewright_backup_age_seconds" not in told


def test_the_age_of_the_last_proven_backup_is_told(client: Client, watched):
    made = Backup.objects.create(place="/backups/one", sha256="0" * 64, byte_count=1)
    Backup.objects.update(proven_at=made.made_at)

    assert 0 <= figures(ask(client))["tilewright_backup_age_seconds"] < 60


WATCHED = """
import django
django.setup()
from django.core.management import call_command
from django.test import Client
call_command("migrate", verbosity=0)
client = Client(SERVER_NAME="localhost", raise_request_exception=False)
for _ in range(3):
    client.get("/healthz")
print(client.get("/metrics", headers={"authorization": "Bearer kept"}).content.decode())
"""


def test_the_requests_of_all_processes_are_counted_together(tmp_path):
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"} | {
        "DJANGO_SETTINGS_MODULE": "studio.settings",
        "TILEWRIGHT_DATA": str(tmp_path),
        "TILEWRIGHT_METRICS_KEY": "kept",
    }
    done = [
        subprocess.run(
            [sys.executable, "-c", WATCHED], env=environment, check=True, capture_output=True, text=True
        ).stdout
        for _ in range(2)
    ]
    counted = re.findall(
        r'^django_http_requests_latency_seconds_by_view_method_count\{.*view="health:healthz".*\} (\S+)',
        done[-1],
        re.MULTILINE,
    )

    assert [float(count) for count in counted] == [6.0]


def test_no_name_of_a_person_or_a_tile_is_told(client: Client, watched, keeper):
    GlazeFactory(name="Harbour")

    assert keeper.name not in ask(client).content.decode()
    assert "Harbour" not in ask(client).content.decode()

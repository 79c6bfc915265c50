"""The same question to our results page, the framework's own list and a general data browser.

    python -m tests.bench.others --outcomes 100000

One body at one cone: 50 rows, and seven groups with their counts; ours counts all its groups. Each answers in this
process, over the same file, the best of three; Datasette's limits of time are lifted, as they leave out counts. It
counts a group within what is found, the two others under the filters of the other groups.
"""

import argparse
import asyncio
import json
import os
import sys
import tempfile
import time
from collections.abc import Callable

import django

FOLDER = tempfile.TemporaryDirectory(prefix="tilewright-bench-")
os.environ.setdefault("TILEWRIGHT_DATA", FOLDER.name)
os.environ["TILEWRIGHT_HOSTS"] = "testserver"
os.environ["DJANGO_SETTINGS_MODULE"] = "tests.bench.admin_settings"
django.setup()

from datasette.app import Datasette  # noqa: E402
from django.conf import settings  # noqa: E402
from django.contrib.auth.models import Group  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.test import Client  # noqa: E402

from studio.models import Person  # noqa: E402
from tests.bench.admin_urls import ROWS  # noqa: E402
from tiles.columns import queries  # noqa: E402
from tiles.models import Outcome, Tile  # noqa: E402

FACETS = ("body_id", "top_glaze_id", "reached_order", "atmosphere", "coats_total", "surface", "kiln_id")
TIMES = 3
LIMIT_MS = 120_000


def best_ms(ask: Callable[[], int], expected: int) -> float:
    """The best of a few [ms]; each answer must have come whole."""
    took = []
    for _ in range(TIMES):
        began = time.perf_counter()
        assert ask() == expected
        took.append(1000 * (time.perf_counter() - began))
    return min(took)


def someone_who_may_all() -> Client:
    person = Person.objects.filter(username="others").first()
    if person is None:
        person = Person.objects.create_superuser(username="others")
    person.groups.set(Group.objects.all())
    client = Client()
    client.force_login(person)
    return client


def of_the_data_browser(body: int, order: int) -> float:
    """Its page, asked in this process; the first one opens the file and does not count."""
    browser = Datasette(
        [str(settings.DATABASES["default"]["NAME"])],
        settings={"sql_time_limit_ms": LIMIT_MS, "facet_time_limit_ms": LIMIT_MS},
    )
    facets = "".join(f"&_facet={facet}" for facet in FACETS)
    page = f"/tilewright/tiles_outcome?body_id={body}&reached_order={order}&_size={ROWS}{facets}"

    async def ask() -> float:
        took = []
        for _ in range(TIMES + 1):
            began = time.perf_counter()
            answer = await browser.client.get(page)
            assert answer.status_code == 200, answer.text[:300]
            assert "timed out" not in answer.text
            took.append(1000 * (time.perf_counter() - began))
        return min(took[1:])

    return asyncio.run(ask())


def measure(outcomes: int) -> dict[str, float]:
    call_command("migrate", verbosity=0)
    if not Tile.everything.exists():
        call_command("make_outcomes", str(outcomes), verbosity=0)
    while queries.standing() is None:
        time.sleep(0.2)
    one = Outcome.objects.fired().filter(reached_order=30).order_by("pk").first()
    assert one is not None
    client = someone_who_may_all()
    ours = f"/results/?body={one.body_id}&cone=6"
    theirs = f"/admin/tiles/outcome/?body__id__exact={one.body_id}&reached_order=30"
    client.get(ours)
    return {
        "ours": best_ms(lambda: client.get(ours).status_code, 200),
        "admin list": best_ms(lambda: client.get(theirs).status_code, 200),
        "Datasette": of_the_data_browser(one.body_id, 30),
    }


def main() -> int:
    words = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    words.add_argument("--outcomes", type=int, default=100_000)
    words.add_argument("--json", action="store_true", help="one line for a program")
    asked = words.parse_args()
    found = measure(asked.outcomes)
    if asked.json:
        print(json.dumps(found))
        return 0
    for name, took in found.items():
        print(f"{name:12} {took:9.1f} ms   {took / found['ours']:6.1f} × ours")
    return 0


if __name__ == "__main__":
    sys.exit(main())

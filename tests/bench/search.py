"""What searches cost, as ratios against floors in one run: python -m tests.bench.search --outcomes 1000000

A studio of so many invented outcomes, and one of a tenth, is made in a folder of its own, or found under --folder,
where it is kept. For each, in a process of its own: all counts of a results page against the best hand-written SQL
(seven facets, a narrow table, seven rotated covering indexes) and against bare numpy on byte columns; words, slips of
the pen, colour and one change apart; 50 cards; whole pages, and pages a second on two processes. Floors are measured in
turn with ours, so that other work on the machine hits all alike. Exits with 1 where a bound is broken; the one
against SQL holds from a million on.
"""

import argparse
import json
import multiprocessing
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import django
import numpy as np

# Gone when this program ends; those that measure are told theirs.
FOLDER = tempfile.TemporaryDirectory(prefix="tilewright-bench-")
os.environ.setdefault("TILEWRIGHT_DATA", FOLDER.name)
os.environ["TILEWRIGHT_HOSTS"] = "testserver"
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

from django.contrib.auth.models import Group  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402
from django.template import engines  # noqa: E402
from django.test import Client  # noqa: E402

from studio.models import Person  # noqa: E402
from tests.bench.heatwork import best_of  # noqa: E402
from tiles.apart.queries import one_change_apart  # noqa: E402
from tiles.columns import queries, services  # noqa: E402
from tiles.models import Outcome, Tile  # noqa: E402
from tiles.search import address  # noqa: E402
from tiles.search.cards.queries import cards  # noqa: E402
from tiles.search.counting.queries import facet_counts, keys_in_view  # noqa: E402
from tiles.search.groups import NAMES_IN_ADDRESS  # noqa: E402
from tiles.search.queries import search  # noqa: E402

FACETS = ("body_id", "top_glaze_id", "reached_order", "atmosphere", "coats_total", "surface", "kiln_id")
GROUPS = ("body", "top", "cone", "atmosphere", "coats", "surface", "kiln")
QUESTION = "body=1&cone=6"
ASKED = {"body_id": 1, "reached_order": 30}
SECONDS = 4.0
MOST_MS = {
    "first page": 60,
    "filtered page": 60,
    "words": 50,
    "slip": 50,
    "colour": 50,
    "one change apart": 50,
    "50 cards": 6,
}
FEWEST_TIMES_SQL, MOST_GROWTH = 5.0, 8.0
TIMES = 5
FEWEST = 100_000


def ms(work: Callable[[], object], times: int = TIMES) -> float:
    return best_of(times, work)[0] * 1000


def make_studio(outcomes: int) -> None:
    """The studio, made where it is not there yet."""
    call_command("migrate", verbosity=0)
    # Pages name their files by content, which has to be collected once.
    call_command("collectstatic", interactive=False, verbosity=0)
    if not Tile.everything.exists():
        call_command("make_outcomes", str(outcomes), verbosity=0)


def lay_narrow_table() -> None:
    """What the best SQL reads: a table of the seven facets alone, with seven covering indexes, each led by another."""
    with connection.cursor() as cursor:
        cursor.execute("DROP TABLE IF EXISTS bench_facets")
        columns = ", ".join(FACETS)
        cursor.execute(
            f"CREATE TABLE bench_facets AS SELECT {columns} FROM tiles_outcome WHERE fired_on IS NOT NULL"
        )
        for place in range(len(FACETS)):
            turned = ", ".join(FACETS[place:] + FACETS[:place])
            cursor.execute(f"CREATE INDEX bench_facets_{place} ON bench_facets ({turned})")
        cursor.execute("ANALYZE bench_facets")


def counted_by_sql() -> list[dict[Any, int]]:
    """Seven facets, each under the filters of the others."""
    found = []
    with connection.cursor() as cursor:
        for facet in FACETS:
            others = [(name, value) for name, value in ASKED.items() if name != facet]
            where = " AND ".join(f"{name} = %s" for name, _ in others)
            cursor.execute(
                f"SELECT {facet}, COUNT(*) FROM bench_facets WHERE {where} GROUP BY {facet}",
                [value for _, value in others],
            )
            found.append({value: number for value, number in cursor.fetchall() if value not in (None, "")})
    return found


def byte_columns() -> list[np.ndarray]:
    """The seven facets as bare byte columns."""
    rows = Outcome.objects.fired().order_by("pk").values_list(*FACETS)
    return [
        np.unique(np.array(column, str), return_inverse=True)[1].astype(np.uint8)
        for column in zip(*rows, strict=True)
    ]


def counted_by_numpy(columns: list[np.ndarray], asked: dict[int, int]) -> list[np.ndarray]:
    masks = {place: columns[place] == code for place, code in asked.items()}
    found = []
    for place, column in enumerate(columns):
        others = [mask for one, mask in masks.items() if one != place]
        mask = np.logical_and.reduce(others)
        found.append(np.bincount(column[mask], minlength=256))
    return found


def counts_against_floors(figures: dict[str, float]) -> None:
    pairs = address.read(QUESTION, NAMES_IN_ADDRESS)
    lay_narrow_table()
    columns = byte_columns()
    codes = {
        FACETS.index(name): int(columns[FACETS.index(name)][_row_with(name, value)])
        for name, value in ASKED.items()
    }
    ours = facet_counts(search(pairs)).by_group
    for group, by_sql in zip(GROUPS, counted_by_sql(), strict=True):
        assert ours[group] == {str(value): number for value, number in by_sql.items()}, group
    times = best_of(
        TIMES, lambda: facet_counts(search(pairs)), counted_by_sql, lambda: counted_by_numpy(columns, codes)
    )
    figures["all counts"], figures["SQL, seven facets"], figures["numpy, seven facets"] = (
        round(1000 * one, 2) for one in times
    )


def _row_with(name: str, value: object) -> int:
    rows = Outcome.objects.fired().order_by("pk").values_list(name, flat=True)
    return next(place for place, one in enumerate(rows) if one == value)


def parts(figures: dict[str, float]) -> None:
    def found(query: str) -> tuple[int, list[int]]:
        asked = search(address.read(query, NAMES_IN_ADDRESS))
        return facet_counts(asked).total, keys_in_view(asked, 0, 50)

    for name, query in (
        ("words", "q=mottled"),
        ("slip", "q=embr"),
        ("colour", "near=%23a07050&within=5&sort=nearest"),
    ):
        assert found(query)[0], name
        figures[name] = ms(partial(found, query))
    keys = found("")[1]
    loop = engines["django"].from_string(
        "{% load cards %}{% for card in cards %}{% card_of card %}{% endfor %}"
    )
    ready = cards(keys, {}, "mm")
    figures["50 cards"] = ms(lambda: loop.render({"cards": ready}), 20)
    figures["50 cards' words"] = ms(lambda: cards(keys, {}, "mm"))
    chosen = random.Random(1).sample(keys, 6) + found("glaze=1&cone=6")[1][:6]
    outcomes = [Outcome.objects.for_display().get(pk=key) for key in chosen]
    figures["one change apart"] = max(
        ms(partial(one_change_apart, one, may_plan=True), 3) for one in outcomes
    )


def signed_in() -> Any:
    person = Person.objects.filter(username="bench").first() or Person.objects.create_user(username="bench")
    person.groups.set(Group.objects.all())
    client = Client()
    client.force_login(person)
    return client


def pages(figures: dict[str, float]) -> None:
    client = signed_in()
    client.get("/results/")
    figures["first page"] = ms(lambda: client.get("/results/"))
    figures["filtered page"] = ms(lambda: client.get(f"/results/?{QUESTION}"))


def a_write(figures: dict[str, float]) -> None:
    """What the first question after a write waits, and what the write itself pays."""
    outcome = Outcome.objects.fired().earliest("pk")

    def write() -> None:
        Outcome.objects.filter(pk=outcome.pk).update(verdict=random.choice(("keep", "retest")))

    def followed() -> None:
        write()
        queries.standing()

    write_ms, both_ms = (1000 * one for one in best_of(TIMES, write, followed))
    services.stop_watching()
    unwatched_ms = ms(write)
    services.watch_writes()
    figures["follow a write"] = both_ms - write_ms
    figures["a write"], figures["the same without triggers"] = write_ms, unwatched_ms


def questions(process: int, *, new: bool) -> Iterator[str]:
    """Searches of a page each, without end: eight in turn, or, where they are to be new, none asked before."""
    if not new:
        while True:
            yield from (f"/results/?glaze={glaze}&cone=6" for glaze in range(1, 9))
    chance = random.Random(process)
    while True:
        day = date(2020, 1, 1) + timedelta(days=chance.randrange(2_000))
        glaze, other = chance.sample(range(1, 41), 2)
        yield f"/results/?glaze={glaze}&glaze={other}&cone={chance.randrange(4, 11)}&since={day}"


def of_pages(queue: Any, start: Any, process: int, new: bool) -> None:
    """One process: pages for some seconds; how many."""
    client = signed_in()
    hold_all()
    asked = questions(process, new=new)
    for _ in range(8):
        assert client.get(next(asked), headers={"HX-Request": "true"}).status_code == 200
    start.wait()
    done, ends = 0, time.perf_counter() + SECONDS
    while time.perf_counter() < ends:
        client.get(next(asked), headers={"HX-Request": "true"})
        done += 1
    queue.put(done)


def pages_a_second(processes: int = 2, *, new: bool) -> float:
    context = multiprocessing.get_context("spawn")
    queue, start = context.Queue(), context.Barrier(processes)
    works = [
        context.Process(target=of_pages, args=(queue, start, process, new)) for process in range(processes)
    ]
    for work in works:
        work.start()
    total = sum(queue.get(timeout=600) for _ in works)
    for work in works:
        work.join()
    return total / SECONDS


def hold_all() -> None:
    """Read everything, and wait for it."""
    while queries.standing() is None:
        time.sleep(0.2)


def measure(outcomes: int) -> dict[str, float]:
    make_studio(outcomes)
    began = time.perf_counter()
    hold_all()
    figures: dict[str, float] = {"read into memory, s": time.perf_counter() - began}
    held = queries.standing()
    assert held is not None
    figures["results"], figures["megabytes"] = len(held.rows), held.byte_count / 1e6
    counts_against_floors(figures)
    parts(figures)
    pages(figures)
    figures["pages a second, two processes"] = pages_a_second(new=False)
    figures["pages a second, all new searches"] = pages_a_second(new=True)
    a_write(figures)
    return {name: round(float(figure), 2) for name, figure in figures.items()}


def measured_apart(folder: Path, outcomes: int) -> dict[str, float]:
    """The figures of one size, from a process of its own."""
    folder.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", "tests.bench.search", "--outcomes", str(outcomes), "--measure"]
    where = {**os.environ, "TILEWRIGHT_DATA": str(folder)}
    answer = subprocess.run(command, check=True, capture_output=True, text=True, env=where)
    return dict(json.loads(answer.stdout.splitlines()[-1]))


def main() -> int:
    reader = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    reader.add_argument("--outcomes", type=int, default=100_000)
    reader.add_argument("--folder", type=Path, help="where studios are kept from one run to the next")
    reader.add_argument("--measure", action="store_true", help=argparse.SUPPRESS)
    asked = reader.parse_args()
    if asked.measure:
        print(json.dumps(measure(asked.outcomes)))
        return 0
    if asked.outcomes < FEWEST:
        reader.error(f"at least {FEWEST} outcomes, so that a tenth of them still answers every question")
    folder = asked.folder or Path(FOLDER.name)
    sizes = (asked.outcomes // 10, asked.outcomes)
    small, large = (measured_apart(folder / f"outcomes-{size}", size) for size in sizes)
    return told(small, large)


def told(small: dict[str, float], large: dict[str, float]) -> int:
    """Print the figures; 1 where a bound is broken."""
    for name, figure in large.items():
        print(
            f"{name:32} {small[name]:12.2f} {figure:12.2f}"
            + (f"   (bound {MOST_MS[name]})" if name in MOST_MS else "")
        )
    times_sql = large["SQL, seven facets"] / large["all counts"]
    growth = large["all counts"] / small["all counts"]
    page_growth = large["filtered page"] / small["filtered page"]
    print(f"all counts of a page are {times_sql:.1f} × quicker than seven facets by the best SQL")
    print(f"and take {large['all counts'] / large['numpy, seven facets']:.1f} × bare numpy's seven facets")
    print(f"ten times the outcomes cost {growth:.1f} × the counts and {page_growth:.1f} × the page")
    broken = [name for name, most in MOST_MS.items() if large[name] > most]
    if large["results"] >= 1_000_000 and times_sql < FEWEST_TIMES_SQL:
        broken.append("times SQL")
    if max(growth, page_growth) >= MOST_GROWTH:
        broken.append("growth")
    print("kept" if not broken else f"broken: {', '.join(broken)}")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())

"""What every page costs the server, and how many bytes it is: python -m tests.bench.pages --outcomes 100000

Two studios in folders of their own, or kept under --folder: the demo, and a made-up one of so many outcomes. A keeper
follows every link from the first page; of each kind of page up to two are asked for three times each within the
process, and the dearer one counts. A machine shared with others is slower by spells, so that all those are asked for
again in rounds, and the best time counts. Processor time, the database's work on SQLite included; bytes of
the page before compression, without photos, style and scripts, which a browser keeps. A page is an answer of 200 in
HTML that holds a whole document: what redirects, a piece of a page, JSON, a picture, a sheet for paper or a file is
none. Kinds of the site map that take a GET and that no link led to are opened with the keys of their neighbours; those
that cannot be opened so are named. `--write` puts the table into DEVELOPERS.md. Exits with 1 where a page takes more
than 100 ms or 200 kB.
"""

import argparse
import io
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import django

HERE = Path(__file__).resolve().parents[2]
# Gone when this program ends; those that measure are told theirs.
FOLDER = tempfile.TemporaryDirectory(prefix="tilewright-bench-")
os.environ.setdefault("TILEWRIGHT_DATA", FOLDER.name)
os.environ["TILEWRIGHT_HOSTS"] = "testserver"
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

from django.core.management import call_command  # noqa: E402
from django.test import Client, RequestFactory  # noqa: E402
from django.urls import NoReverseMatch, URLResolver, get_resolver, resolve, reverse  # noqa: E402

from studio.models import Person  # noqa: E402
from studio.people.services import add_person  # noqa: E402
from studio.roles import Role  # noqa: E402
from tests.journeys.walking import FILES, name_of, pages_reached  # noqa: E402

TIMES, ROUNDS = 3, 4
MOST_MS, MOST_KB = 100, 200
BEGIN, END = "<!-- what each page costs -->\n", "<!-- so much for pages -->\n"
KEEPER = "Mara Measures"


@dataclass(frozen=True)
class Cost:
    """The dearest page of a kind."""

    ms: float
    kb: float
    address: str

    @property
    def is_too_much(self) -> bool:
        return self.ms > MOST_MS or self.kb > MOST_KB

    def __str__(self) -> str:
        return " | ".join(
            f"**{figure:.0f}**" if figure > most else f"{figure:.0f}"
            for figure, most in ((self.ms, MOST_MS), (self.kb, MOST_KB))
        )


def cost_of(client: Client, address: str) -> Cost | None:
    """What a page costs; None for what is no page."""
    best_s, size = float("inf"), 0
    for _ in range(TIMES):
        began = time.process_time()
        answer = client.get(address)
        if answer.status_code != 200 or answer.streaming or b"<html" not in answer.content:
            return None
        size = len(answer.content)
        best_s = min(best_s, time.process_time() - began)
    return Cost(1000 * best_s, size / 1000, address)


def costs() -> tuple[dict[str, Cost], list[str]]:
    """What each kind of page costs in the studio this process's settings point to, and kinds that were not reached."""
    keeper = Person.objects.filter(name=KEEPER).first() or add_person(KEEPER, Role.KEEPER)
    client = Client()
    client.force_login(keeper)
    reached = [*pages_reached(client, name_of)]
    lost = [name for name, asked in asking_kinds() if name not in set(map(name_of, reached))]
    neighbours = {
        name: address_beside(name, asked, reached) for name, asked in asking_kinds() if name in lost
    }
    dearest: dict[str, Cost] = {}
    for address in [*reached, *filter(None, neighbours.values())]:
        if not address.split("?")[0].endswith(FILES) and (cost := cost_of(client, address)):
            name = name_of(address)
            dearest[name] = max(cost, dearest.get(name, cost), key=lambda one: (one.ms, one.kb))
    for _ in range(ROUNDS):
        for name, cost in dearest.items():
            dearest[name] = min(cost, cost_of(client, cost.address) or cost, key=lambda one: one.ms)
    return dearest, [
        name
        for name in lost
        if name not in dearest
        and not ((address := neighbours[name]) and client.get(address).status_code in (200, 302))
    ]


def asking_kinds(
    resolver: URLResolver | None = None, names: tuple[str, ...] = (), asked: frozenset[str] = frozenset()
) -> Iterator[tuple[str, frozenset[str]]]:
    """The kinds of the site map that take a GET, but the API's, each with the keys that stand in its address."""
    for entry in (resolver or get_resolver()).url_patterns:
        keys = asked | set(entry.pattern.converters)
        if isinstance(entry, URLResolver):
            if not (entry.namespace or "").startswith("api-"):
                yield from asking_kinds(entry, (*names, *filter(None, [entry.namespace])), keys)
        elif entry.name and takes_a_get(entry.callback):
            yield ":".join([*names, entry.name]), keys


def takes_a_get(view: Callable[..., Any]) -> bool:
    """Whether its list of methods, which refuses before anything else, has GET."""
    try:
        answer = view(RequestFactory().options("/"))
    except (AttributeError, TypeError):  # without a list it goes on to what is not there
        return True
    return answer.status_code != 405 or "GET" in answer["Allow"]


def address_beside(name: str, asked: frozenset[str], reached: Sequence[str]) -> str:
    """An address of a kind, with the keys of one reached that shares most of its name; empty where none has them."""
    found = (resolve(urlsplit(address).path) for address in reached)
    with_keys = [match for match in found if asked <= set(match.kwargs)]
    if not with_keys:
        return ""
    near = max(with_keys, key=lambda match: shared(match.view_name, name))
    try:
        return reverse(name, kwargs={key: near.kwargs[key] for key in asked})
    except NoReverseMatch:
        return ""


def shared(one: str, other: str) -> int:
    """How many letters two names begin with alike."""
    return len(list(takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False))))


def measure(studio: str, outcomes: int) -> None:
    """Make one studio where this process's settings point, unless it stands there, and print what its pages cost."""
    call_command("migrate", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    if not Person.objects.filter(name=KEEPER).exists():
        if studio == "demo":
            call_command("demo", verbosity=0, stdout=io.StringIO())
        else:
            call_command("make_outcomes", str(outcomes), verbosity=0)
    found, lost = costs()
    dearest = {name: [cost.ms, cost.kb, cost.address] for name, cost in found.items()}
    print(json.dumps({"dearest": dearest, "lost": lost}))


def measured(studio: str, outcomes: int, folder: Path) -> tuple[dict[str, Cost], set[str]]:
    """What the pages of one studio cost, by a process of its own, and the kinds of which none was reached."""
    where = folder / (studio if studio == "demo" else str(outcomes))
    where.mkdir(parents=True, exist_ok=True)
    words = ["-m", "tests.bench.pages", "--studio", studio, "--outcomes", str(outcomes)]
    told = subprocess.run(
        [sys.executable, "-W", "ignore", *words],
        check=True,
        stdout=subprocess.PIPE,
        text=True,
        cwd=HERE,
        env={**os.environ, "TILEWRIGHT_DATA": str(where)},
    )
    found = json.loads(told.stdout.splitlines()[-1])
    return {name: Cost(*cost) for name, cost in found["dearest"].items()}, set(found["lost"])


def table(demo: dict[str, Cost], large: dict[str, Cost], outcomes: int) -> str:
    lines = [
        f"| page | demo, ms | kB | {outcomes:,} outcomes, ms | kB |\n|---|---|---|---|---|\n",
        *(
            f"| `{name}` | {demo.get(name, '– | –')} | {large.get(name, '– | –')} |\n"
            for name in sorted({*demo, *large})
        ),
    ]
    return "".join(lines)


def write(words: str) -> None:
    """Put the table where the guide holds the one before it."""
    guide = HERE / "DEVELOPERS.md"
    before, rest = guide.read_text(encoding="utf-8").split(BEGIN)
    after = rest.split(END)[1]
    guide.write_text(f"{before}{BEGIN}\n{words}\n{END}{after}", encoding="utf-8")


def main() -> int:
    reader = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    reader.add_argument("--outcomes", type=int, default=100_000)
    reader.add_argument("--folder", type=Path, default=Path(FOLDER.name), help="where studios are kept")
    reader.add_argument("--write", action="store_true", help="put the table into DEVELOPERS.md")
    reader.add_argument("--studio", choices=["demo", "made-up"], help=argparse.SUPPRESS)
    asked = reader.parse_args()
    if asked.studio:
        measure(asked.studio, asked.outcomes)
        return 0
    demo, lost_in_demo = measured("demo", asked.outcomes, asked.folder)
    large, lost_in_large = measured("made-up", asked.outcomes, asked.folder)
    words = table(demo, large, asked.outcomes)
    if lost := sorted((lost_in_demo & lost_in_large) - {*demo, *large}):
        words += f"\nReached in neither: {', '.join(f'`{name}`' for name in lost)}.\n"
    print(words)
    too_much = [(name, cost) for name, cost in (*demo.items(), *large.items()) if cost.is_too_much]
    for name, cost in too_much:
        print(f"{name} {cost.ms:.0f} ms, {cost.kb:.0f} kB at {cost.address}")
    print(f"{len(too_much)} pages are too much.")
    if asked.write:
        write(words)
    return int(bool(too_much))


if __name__ == "__main__":
    sys.exit(main())

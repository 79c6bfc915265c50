"""What every page costs the server, and how many bytes it is: python -m tests.bench.pages --outcomes 100000

Two studios in folders of their own, or kept under --folder: the demo, and a made-up one of so many outcomes. A keeper
follows every link from the first page; of each kind of page up to two are asked for three times each within the
process, and the dearer one counts with its best time. Processor time, the database's work on SQLite included; bytes of
the page before compression, without photos, style and scripts, which a browser keeps. `--write` puts the table into
DEVELOPERS.md. Exits with 1 where a page takes more than 100 ms or 200 kB.
"""

import argparse
import io
import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import django

HERE = Path(__file__).resolve().parents[2]
# Gone when this program ends; those that measure are told theirs.
FOLDER = tempfile.TemporaryDirectory(prefix="tilewright-bench-")
os.environ.setdefault("TILEWRIGHT_DATA", FOLDER.name)
os.environ["TILEWRIGHT_HOSTS"] = "testserver"
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

from django.core.management import call_command  # noqa: E402
from django.test import Client  # noqa: E402

from studio.models import Person  # noqa: E402
from studio.people.services import add_person  # noqa: E402
from studio.roles import Role  # noqa: E402
from tests.journeys.walking import FILES, name_of, pages_reached  # noqa: E402

TIMES = 3
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


def cost_of(client: Client, address: str) -> Cost:
    best_s, size = float("inf"), 0
    for _ in range(TIMES):
        began = time.process_time()
        page = client.get(address)
        size = len(b"".join(page.streaming_content)) if page.streaming else len(page.content)
        best_s = min(best_s, time.process_time() - began)
    return Cost(1000 * best_s, size / 1000, address)


def costs() -> dict[str, Cost]:
    """What each kind of page costs in the studio this process's settings point to."""
    keeper = Person.objects.filter(name=KEEPER).first() or add_person(KEEPER, Role.KEEPER)
    client = Client()
    client.force_login(keeper)
    dearest: dict[str, Cost] = {}
    for address in pages_reached(client, name_of):
        name = name_of(address)
        if not address.split("?")[0].endswith(FILES):
            cost = cost_of(client, address)
            dearest[name] = max(cost, dearest.get(name, cost), key=lambda one: (one.ms, one.kb))
    return dearest


def measure(studio: str, outcomes: int) -> None:
    """Make one studio where this process's settings point, unless it stands there, and print what its pages cost."""
    call_command("migrate", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    if not Person.objects.filter(name=KEEPER).exists():
        if studio == "demo":
            call_command("demo", verbosity=0, stdout=io.StringIO())
        else:
            call_command("make_outcomes", str(outcomes), verbosity=0)
    print(json.dumps({name: [cost.ms, cost.kb, cost.address] for name, cost in costs().items()}))


def measured(studio: str, outcomes: int, folder: Path) -> dict[str, Cost]:
    """What the pages of one studio cost, by a process of its own."""
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
    return {name: Cost(*cost) for name, cost in json.loads(told.stdout.splitlines()[-1]).items()}


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
    demo = measured("demo", asked.outcomes, asked.folder)
    large = measured("made-up", asked.outcomes, asked.folder)
    words = table(demo, large, asked.outcomes)
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

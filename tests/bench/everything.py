"""All figures in one run, each against its floor and with its aim beside it: make bench

    python -m tests.bench.everything [--sizes 10000 100000 1000000] [--only NAME …] [--folder FOLDER] [--keep FILE]

Each measurement is a process of its own with a time limit, so that one that fails or takes too long costs its own lines
and no other's. `--folder` keeps the studios, which the next run then need not make; `--keep` writes the table to a
file. Times travel badly between machines and say nothing while others work on it; ratios do better. Exits with 1 where
an aim was missed or a figure is not there.
"""

import argparse
import json
import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

HERE = Path(__file__).resolve().parents[2]
SIZES = (10_000, 100_000, 1_000_000)
# Making a studio of a million outcomes takes most of it.
MOST_S, MOST_S_A_THOUSAND = 1800, 4


@dataclass(frozen=True)
class Aim:
    """What a figure should be."""

    words: str
    most: float | None = None
    fewest: float | None = None

    def is_met(self, figure: float) -> bool:
        return (self.most is None or figure <= self.most) and (self.fewest is None or figure >= self.fewest)


def most(bound: float, unit: str = "") -> Aim:
    return Aim(f"at most {bound:g}{unit}", most=bound)


def fewest(bound: float, unit: str = "") -> Aim:
    return Aim(f"at least {bound:g}{unit}", fewest=bound)


NO_AIM = Aim("–")
HEAD = "| what | measured | aim | met |\n|---|---|---|---|\n"


@dataclass(frozen=True)
class Reading:
    """A figure in what a measurement prints: the group of a pattern, the worst where several lines have it."""

    name: str
    pattern: str
    aim: Aim
    unit: str = "×"

    def read(self, printed: str) -> float | None:
        found = [float(one.replace(",", "")) for one in re.findall(self.pattern, printed)]
        return (min(found) if self.aim.fewest is not None else max(found)) if found else None


@dataclass(frozen=True)
class Bench:
    """A measurement: its module, what it is told, and what is read from it."""

    module: str
    readings: tuple[Reading, ...]
    words: tuple[str, ...] = ()


NUMBER = r"([\d.,]*\d)"
BENCHES = (
    Bench(
        "heatwork",
        (
            Reading("cone of a 12 h curve / numpy's integral of one cone", rf"1 s: {NUMBER} ×", most(3)),
            Reading("a million rows read / numpy's own reader", rf"three figures: {NUMBER} ×", most(2)),
            Reading(
                "the same with dates / numpy's own reader", rf"date, time and a figure: {NUMBER} ×", most(2)
            ),
        ),
    ),
    Bench(
        "recompute",
        (
            Reading("cones of 1,000 firings anew / bare integral", rf"{NUMBER} × the bare integral", NO_AIM),
            Reading("memory with 1,000 firings", r"highest memory (\d+) MB", most(300), "MB"),
        ),
    ),
    Bench(
        "photos",
        (
            Reading(
                "a photo from request to stored / write + fsync",
                rf"filed to a tile +[\d.]+ ms +{NUMBER} ×",
                most(1.5),
            ),
            Reading("three renditions / bare Pillow", rf"three renditions +[\d.]+ ms +{NUMBER} ×", most(1.2)),
            Reading("memory with 500 photos", r"memory, ours: .*at most (\d+)", most(300), "MB"),
            Reading(
                "memory that 500 photos took more than 51",
                r"memory, ours: .*, (-?\d+) more",
                most(10),
                "MB",
            ),
            Reading("a worker's, the largest pictures", r"worker's memory, .*at most (\d+)", most(320), "MB"),
            Reading("damaged files answered, of 5,000", r"(\d+) damaged files", fewest(5000), ""),
        ),
        ("--photos", "500"),
    ),
    Bench(
        "mat",
        (
            Reading(
                "a look at 12 megapixels, mat and chart, of the processor",
                rf"mat and chart \| {NUMBER}",
                NO_AIM,
                "s",
            ),
            Reading("the same, label alone", rf"label alone \| {NUMBER}", NO_AIM, "s"),
        ),
        ("--only", "cost"),
    ),
    Bench(
        "colour",
        (
            Reading(
                "half a million pixels to L*a*b* / numpy's matrix and cube root", rf"b\*: {NUMBER} ×", NO_AIM
            ),
            Reading("half a million CIEDE2000 / plain distance", rf"CIEDE2000: {NUMBER} ×", NO_AIM),
            Reading("a chart found / shrinking the photo", rf"megapixels: {NUMBER} ×", NO_AIM),
        ),
    ),
    Bench(
        "bases", (Reading("colours told apart by basis, worst mean ΔE00", rf"ΔE00 {NUMBER} in", NO_AIM, ""),)
    ),
    Bench("closeup", (Reading("pieces of a level / bare Pillow, worst", r" (\d+\.\d+) +\d+\n", NO_AIM),)),
    Bench(
        "plans",
        (
            Reading(
                "pairs, five factors / listing 10,000 combinations, worst",
                rf"pairs .*ms, {NUMBER} yard",
                NO_AIM,
            ),
            Reading("the page's answer to a keystroke", rf"keystroke: {NUMBER} ms", NO_AIM, "ms"),
        ),
    ),
    Bench(
        "prints",
        (
            Reading("1,000 cards / bare reportlab", rf"cards: {NUMBER} ×", most(2)),
            Reading("10,000 labels with codes / without", rf"labels: {NUMBER} ×", most(4)),
            Reading("memory at the peak, 10,000 labels", r"labels with codes \|.*\| (\d+)", most(200), "MB"),
        ),
    ),
    Bench(
        "backup",
        (
            Reading("backup of 1 GB / copy of the same bytes", rf"same bytes: {NUMBER}", most(2.5)),
            Reading("backups restored equal, of 12", r"(\d+) of \d+ equal", fewest(12), ""),
            Reading(
                "longest a writer waited meanwhile", rf"during backups: .*longest {NUMBER} ms", most(50), "ms"
            ),
        ),
    ),
    Bench(
        "evidence",
        (
            Reading("evidence of 100,000 outcomes / bare sorting, worst", rf"{NUMBER} × bare", most(20)),
            Reading(
                "page of the whole studio's evidence",
                rf"whole studio, whole page: {NUMBER}",
                most(1500),
                "ms",
            ),
            Reading("page of one glaze's evidence", rf"one glaze, whole page: {NUMBER}", most(300), "ms"),
            Reading("page of an answer", rf"an answer, whole page: {NUMBER}", most(300), "ms"),
        ),
    ),
    Bench("pages", (Reading("pages over 100 ms or 200 kB", rf"{NUMBER} pages are too much", most(0), ""),)),
    Bench("importing", (Reading("import of 100,000 rows / bare executemany", rf"ratio +{NUMBER}", most(3)),)),
    Bench(
        "writers",
        (
            Reading("8 writers × 100 writes: lost", rf": {NUMBER} lost", most(0), ""),
            Reading("“database is locked”", rf"{NUMBER} locked", most(0), ""),
            Reading("slowest in a hundred", rf"p99 {NUMBER} ms", most(500), "ms"),
        ),
    ),
    Bench(
        "fuzz",
        (
            Reading(
                "4,000 requests of junk: errors, echoes, forms without token, other hosts",
                rf"{NUMBER} faults",
                most(0),
                "",
            ),
        ),
        ("--requests", "4000"),
    ),
)

# At each size: what the search prints of itself, by name; the bounds are those for a million.
GROWTH, GROWS = 8, ("all counts", "filtered page")
AT_A_SIZE = {
    "all counts": ("all counts of a filtered page", NO_AIM, "ms"),
    "first page": ("first page, whole request", most(60, " ms"), "ms"),
    "filtered page": ("filtered page, whole request", most(60, " ms"), "ms"),
    "words": ("words", most(50, " ms"), "ms"),
    "slip": ("words with a slip", most(50, " ms"), "ms"),
    "colour": ("colour within ΔE 5", most(50, " ms"), "ms"),
    "one change apart": ("one change apart, the dearest", most(50, " ms"), "ms"),
    "50 cards": ("50 cards in the template", most(6, " ms"), "ms"),
    "pages a second, two processes": ("pages with all counts, two processes", fewest(200), "a second"),
    "pages a second, all new searches": ("the same, none asked before", NO_AIM, "a second"),
}


Found = dict[str, float]


@dataclass(frozen=True)
class Line:
    """A line of the table; no figure where the measurement gave none, with the reason."""

    name: str
    figure: float | None
    unit: str
    aim: Aim
    trouble: str = ""

    @property
    def is_met(self) -> bool:
        return self.figure is not None and self.aim.is_met(self.figure)

    @property
    def told(self) -> str:
        """The figure with its unit, or why there is none."""
        if self.figure is None:
            return self.trouble
        return (f"{self.figure:,.2f}".rstrip("0").rstrip(".") + f" {self.unit}").strip()

    def __str__(self) -> str:
        verdict = "–" if self.aim is NO_AIM and self.figure is not None else "yes" if self.is_met else "no"
        return f"| {self.name} | {self.told} | {self.aim.words} | {verdict} |"


def printed_by(module: str, words: Sequence[str], most_s: float, **where: str) -> tuple[str, str]:
    """What a measurement prints, and what went wrong, or nothing. An aim it missed by its own bounds is no trouble."""
    command = [sys.executable, "-W", "ignore", "-m", f"tests.bench.{module}", *words]
    running = subprocess.Popen(
        command,
        cwd=HERE,
        env=os.environ | where,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        printed, told = running.communicate(timeout=most_s)
    except subprocess.TimeoutExpired:
        # With all that it started itself, or its servers would outlive it.
        os.killpg(running.pid, signal.SIGKILL)
        running.communicate()
        return "", f"not done in {most_s:.0f} s"
    last = told.strip().splitlines()[-1:] or ["it printed no such figure"]
    return printed, last[0][:120].replace("|", "/")


def fixed_lines(bench: Bench) -> Iterator[Line]:
    """The figures that do not depend on the size of a studio."""
    printed, trouble = printed_by(bench.module, bench.words, MOST_S)
    for reading in bench.readings:
        yield Line(reading.name, reading.read(printed), reading.unit, reading.aim, trouble)


def lines_at(size: int, folder: Path, before: Found) -> Iterator[Line]:
    """The figures of a studio of so many outcomes: searching, and the same question to others.

    before : what the studio of a tenth of them took, where it was measured; these figures take its place
    """
    most_s = MOST_S + size * MOST_S_A_THOUSAND / 1000
    where, count = {"TILEWRIGHT_DATA": str(folder / str(size))}, ("--outcomes", str(size))
    at = f"{size:,} outcomes: "
    found, trouble = figures(printed_by("search", (*count, "--measure"), most_s, **where))
    for key, (name, aim, unit) in AT_A_SIZE.items():
        yield Line(at + name, found.get(key), unit, aim, trouble)
    if found:
        counts = found["all counts"]
        floor = fewest(5) if size >= 1_000_000 else NO_AIM
        yield Line(
            at + "seven facets by the best SQL / all counts", found["SQL, seven facets"] / counts, "×", floor
        )
        yield Line(
            at + "all counts / bare numpy's seven facets", counts / found["numpy, seven facets"], "×", NO_AIM
        )
        yield Line(
            at + "a write with our triggers / without",
            found["a write"] / found["the same without triggers"],
            "×",
            NO_AIM,
        )
        yield Line(at + "memory a process, held", found["megabytes"], "MB", NO_AIM)
    for key in GROWS:
        if smaller := before.get(key):
            ratio = found[key] / smaller if found else None
            yield Line(f"{at}{key} / those at a tenth", ratio, "×", most(GROWTH), trouble)
    before.clear()
    before.update(found)
    found, trouble = figures(printed_by("others", (*count, "--json"), most_s, **where))
    for key, name in (("admin list", "the framework's admin list"), ("Datasette", "Datasette")):
        ratio = found[key] / found["ours"] if found else None
        yield Line(f"{at}{name} / our page, same question", ratio, "×", fewest(1), trouble)


def figures(answer: tuple[str, str]) -> tuple[dict[str, float], str]:
    """The last line as figures by name, none where it is not such a line."""
    printed, trouble = answer
    try:
        return dict(json.loads(printed.splitlines()[-1])), ""
    except (IndexError, ValueError):
        return {}, trouble


def table(sizes: Sequence[int], only: Sequence[str], folder: Path | None = None) -> Iterator[Line]:
    for bench in BENCHES:
        if not only or bench.module in only:
            yield from fixed_lines(bench)
    if not only or "search" in only:
        with tempfile.TemporaryDirectory(prefix="tilewright-bench-") as passing:
            found: Found = {}
            last = 0
            for size in sorted(sizes):
                if size != 10 * last:
                    found.clear()
                yield from lines_at(size, folder or Path(passing), found)
                last = size


def main() -> int:
    words = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    words.add_argument("--sizes", type=int, nargs="*", default=SIZES)
    words.add_argument("--only", nargs="*", default=[], help="these measurements alone; search is the sizes'")
    words.add_argument(
        "--folder", type=Path, help="where the sizes' studios are kept from one run to the next"
    )
    words.add_argument("--keep", type=Path, help="the file the table is written to")
    asked = words.parse_args()
    began, lines = time.monotonic(), []
    print(HEAD, end="", flush=True)
    for line in table(asked.sizes, asked.only, asked.folder and asked.folder.resolve()):
        lines.append(line)
        print(line, flush=True)
    took = f"{(time.monotonic() - began) / 60:.0f} minutes on {os.cpu_count()} processors"
    missed = [
        line for line in lines if not line.is_met and line.aim is not NO_AIM and line.figure is not None
    ]
    without = [line for line in lines if line.figure is None]
    print(f"\n{len(lines)} figures, {len(missed)} missed, {len(without)} not there; {took}.")
    for line in (*missed, *without):
        print(f"- {line.name}: {line.told}")
    if asked.keep:
        sizes = ", ".join(f"{size:,}" for size in asked.sizes)
        head = f"# Figures\n\nMade by `make bench` on {date.today()} in {took}; studios of {sizes} outcomes."
        asked.keep.write_text(f"{head} Do not edit.\n\n{HEAD}" + "".join(f"{line}\n" for line in lines))
    return int(bool(missed or without))


if __name__ == "__main__":
    sys.exit(main())

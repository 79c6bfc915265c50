"""What it costs to print: a thousand cards beside bare reportlab, ten thousand labels with codes beside those without.

    python -m tests.bench.prints [--only cards|labels]

Prints the table that stands in DEVELOPERS.md. Every card and label is another: its own number, stack, conditions and
code. Each figure is the best of three runs in a process of its own, so that no cache of an earlier run helps.
"""

import argparse
import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from tiles import numbers
from tiles.prints import cards, codes, fonts, labels
from tiles.prints.cards import CardFacts, CardJob, FiringWords, ZoneWords
from tiles.prints.fit import PT_PER_MM
from tiles.prints.labels import LabelFacts, LabelJob
from tiles.prints.marks import Code, Mark, Plate, Rule, Words
from tiles.prints.paper import Printed
from tiles.prints.stock import KNOWN

ADDRESS = "http://192.168.178.123:8000"
GLAZES = ("Harbour", "Flux L", "Winter Orchard", "Iron Wash", "Blue Ash", "Tern White", "Dune Shino")
BODIES = ("Dune speckled", "Tern", "White stoneware")
CARDS, LABELS = 1000, 10_000
RUNS = 3


def label_facts() -> Iterator[LabelFacts]:
    """Ten thousand labels, none like another."""
    for number in range(1, LABELS + 1):
        glaze, over = GLAZES[number % 7], GLAZES[number // 7 % 7]
        line = (
            f"{1 + number % 3} coats {glaze} (lot 24-{number % 400:03d}) brushed over 1 coat {over}, on "
            f"{BODIES[number % 3]}; target cone 6, reached {5 + number % 20 / 10:.1f} (witness cones), oxidation; "
            f"kiln Oriel, shelf {number % 6}; {1 + number % 28} Oct 2026"
        )
        yield LabelFacts(
            numbers.write(number), f"{over} ×1 + {glaze} ×{1 + number % 3}", BODIES[number % 3], ADDRESS, line
        )


def card_facts() -> Iterator[CardFacts]:
    """A thousand cards of tiles with three zones."""
    for number, label in zip(range(1, CARDS + 1), label_facts(), strict=False):
        zones = tuple(
            ZoneWords(f"band {zone}", f"{label.stack} ×{zone}", f"satin, opaque, run {number % 9} mm")
            for zone in (1, 2, 3)
        )
        firing = FiringWords(f"F-{number % 300:04d} · 14 Oct 2026", label.line, zones)
        yield CardFacts(
            label.number, BODIES[number % 3], "Bar, 66 × 112 mm", (firing,), ADDRESS, studio="Oriel"
        )


def bare(job: CardJob, laid: list[cards.Layout]) -> bytes:
    """The same marks at the same places by nothing but reportlab's own calls, laid out beforehand."""
    sheet, file = cards.sheet_of(job), BytesIO()
    canvas = Canvas(file, pagesize=(sheet.sheet_width_mm * PT_PER_MM, sheet.sheet_height_mm * PT_PER_MM))
    for at, (layout, (_, cell)) in enumerate(zip(laid, sheet.cells(len(laid)), strict=True)):
        if at and at % sheet.labels_per_sheet == 0:
            canvas.showPage()
        left, top = cell.x_mm * PT_PER_MM, (sheet.sheet_height_mm - cell.y_mm) * PT_PER_MM
        for mark in layout.marks:
            _bare_mark(canvas, mark, left, top)
    canvas.save()
    return file.getvalue()


def _bare_mark(canvas: Canvas, mark: Mark, left: float, top: float) -> None:
    if isinstance(mark, Words):
        canvas.setFillGray(mark.grey)
        canvas.setFont(mark.typeface.value, mark.size_pt)
        canvas.drawString(left + mark.x_mm * PT_PER_MM, top - mark.baseline_mm * PT_PER_MM, mark.text)
    elif isinstance(mark, Rule):
        canvas.setStrokeGray(mark.grey)
        canvas.setLineWidth(mark.width_pt)
        canvas.line(
            left + mark.x1_mm * PT_PER_MM,
            top - mark.y1_mm * PT_PER_MM,
            left + mark.x2_mm * PT_PER_MM,
            top - mark.y2_mm * PT_PER_MM,
        )
    elif isinstance(mark, Plate):
        canvas.setFillGray(mark.grey)
        canvas.setStrokeGray(mark.grey)
        x, y, width, height = (
            side * PT_PER_MM
            for side in (mark.box.x_mm, mark.box.bottom_mm, mark.box.width_mm, mark.box.height_mm)
        )
        canvas.rect(left + x, top - y, width, height, stroke=not mark.filled, fill=mark.filled)
    elif isinstance(mark, Code):
        symbol = codes.symbol(mark.content)
        step = mark.box.width_mm * PT_PER_MM / symbol.modules_with_quiet
        canvas.setFillGray(0)
        path = canvas.beginPath()
        for x, y, length in symbol.runs:
            path.rect(
                left + mark.box.x_mm * PT_PER_MM + (x + codes.QUIET_MODULES) * step,
                top - mark.box.y_mm * PT_PER_MM - (y + 1 + codes.QUIET_MODULES) * step,
                length * step,
                step,
            )
        canvas.drawPath(path, stroke=0, fill=1)


def timed(work: Callable[[], object]) -> tuple[float, object]:
    before = time.perf_counter()
    made = work()
    return time.perf_counter() - before, made


def run(what: str) -> dict[str, float]:
    """One measurement, in this process."""
    for face in fonts.Typeface:
        fonts.font(face)
    if what in ("cards", "bare"):
        facts, job = list(card_facts()), CardJob()
        if what == "cards":
            spent, printed = timed(lambda: cards.print_cards(facts, job))
        else:
            laid = [cards.lay_out(card, cards.SIZES[job.size]) for card in facts]
            codes.symbol.cache_clear()
            spent, printed = timed(lambda: bare(job, laid))
    else:
        facts_, job_ = list(label_facts()), LabelJob(KNOWN[0], codes=what == "labels")
        spent, printed = timed(lambda: labels.print_labels(facts_, job_))
    size = len(printed.pdf if isinstance(printed, Printed) else printed)  # type: ignore[arg-type]
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"s": spent, "mb": size / 1e6, "peak_mb": peak_mb}


def best(what: str) -> dict[str, float]:
    """The best of three, each in a process of its own."""
    ran = [
        json.loads(
            subprocess.run(
                [sys.executable, "-m", "tests.bench.prints", "--run", what], check=True, capture_output=True
            ).stdout
        )
        for _ in range(RUNS)
    ]
    return min(ran, key=lambda one: one["s"])


def report(only: str) -> None:
    print("what | s | file, MB | peak memory, MB")
    if only in ("", "cards"):
        ours, theirs = best("cards"), best("bare")
        _row(f"{CARDS} cards, bare reportlab, laid out beforehand", theirs)
        _row(f"{CARDS} cards, laid out and drawn", ours)
        print(f"cards: {ours['s'] / theirs['s']:.2f} × bare reportlab (figure to reach: 2)")
    if only in ("", "labels"):
        plain, coded = best("plain"), best("labels")
        _row(f"{LABELS} labels without codes", plain)
        _row(f"{LABELS} labels with codes", coded)
        print(f"labels: {coded['s'] / plain['s']:.2f} × those without (figures to reach: 4, 200 MB, 3 MB)")


def _row(what: str, run: dict[str, float]) -> None:
    print(f"{what} | {run['s']:.2f} | {run['mb']:.2f} | {run['peak_mb']:.0f}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--only", choices=["cards", "labels"], default="")
    parser.add_argument("--run", choices=["cards", "bare", "labels", "plain"])
    asked = parser.parse_args()
    if asked.run:
        print(json.dumps(run(asked.run)))
    else:
        report(asked.only)

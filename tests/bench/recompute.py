"""What it costs to recompute the heat work of many firings in one command: memory, and time against bare numpy.

    python -m tests.bench.recompute [--firings 1000]

Makes a studio of so many firings of 12 h, logged each second, in a folder of its own: four kilns, every third firing
with witness cones, so that most curves are corrected. The command runs in a process of its own for a tenth of them and
for all; its highest memory and the ratio of its time to numpy's bare integral of one cone over as many curves are
printed.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import django

# Gone when this program ends.
FOLDER = tempfile.TemporaryDirectory(prefix="tilewright-bench-")
os.environ["TILEWRIGHT_DATA"] = FOLDER.name
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

import numpy as np  # noqa: E402
from django.core.management import call_command  # noqa: E402

from firings.curves.samples import packed  # noqa: E402
from firings.heatwork.kinetics import ladder, place_of  # noqa: E402
from firings.models import Curve, Firing, Kiln, WitnessCone  # noqa: E402
from tests.bench.heatwork import best_of, twelve_hours  # noqa: E402

KILNS = 4
BATCH = 100
SENSORS = [{"name": "Kiln", "unit": "C", "counts": True}]
FIRST = datetime(2020, 1, 1, 8, 0, tzinfo=UTC)


def fill(first: int, stop: int) -> None:
    """Firings of these numbers, with a few curves' readings over and over."""
    times_s, temps_c = twelve_hours()
    kept = [packed(times_s, [temps_c + more_c]) for more_c in (-8, -3, 0, 4, 9)]
    kilns = [Kiln.objects.get_or_create(name=f"Kiln {place}")[0] for place in range(KILNS)]
    for start in range(first, stop, BATCH):
        numbers = range(start, min(start + BATCH, stop))
        firings = Firing.objects.bulk_create(_firing(number, kilns) for number in numbers)
        WitnessCone.objects.bulk_create(
            WitnessCone(firing=firing, order=30, bend_deg=80) for firing in firings if firing.number % 3 == 0
        )
        Curve.objects.bulk_create(
            Curve(
                firing=firing,
                original_name="log.csv",
                original_sha256=f"{firing.number:064x}",
                started_at=firing.started_at,
                sensors=SENSORS,
                sample_count=len(times_s),
                samples=kept[firing.number % len(kept)],
            )
            for firing in firings
        )


def _firing(number: int, kilns: list[Kiln]) -> Firing:
    seen = {"reached_number": 6, "reached_order": 30, "reached_source": "witness"} if number % 3 == 0 else {}
    return Firing(
        number=number,
        kiln=kilns[number % KILNS],
        state="fired",
        started_at=FIRST + timedelta(hours=40 * number),
        **seen,
    )


def command() -> tuple[dict, float, float]:
    """Run it in a process of its own: what it says, seconds, highest memory in MB."""
    began = time.perf_counter()
    run = subprocess.Popen([sys.executable, "manage.py", "recompute_heat", "--json"], stdout=subprocess.PIPE)
    highest_mb = 0.0
    while run.poll() is None:
        highest_mb = max(highest_mb, highest_so_far_mb(run.pid))
        time.sleep(0.05)
    if run.returncode:
        raise SystemExit("The command failed.")
    return json.loads(run.stdout.read()), time.perf_counter() - began, highest_mb


def highest_so_far_mb(pid: int) -> float:
    """By the kernel's own mark for this program; what is reported after its end would count the one that started it."""
    try:
        lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    except OSError:
        return 0.0
    return next((int(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM")), 0.0)


def bare_s() -> float:
    """Numpy's own integral of one cone over one curve [s]."""
    times_s, temps_c = twelve_hours()
    six = place_of(30)
    ln_a, b_k = ladder().ln_a_per_h[six], ladder().b_k[six]
    (best,) = best_of(200, lambda: np.trapezoid(np.exp(ln_a - b_k / (temps_c + 273.15)), times_s / 3600))
    return best


def report(words: str) -> None:
    found, taken_s, memory_mb = command()
    count = found["curves"]
    print(
        f"{count} curves, {words}: {len(found['changed'])} firings changed, {taken_s:.1f} s, "
        f"{taken_s / count * 1000:.1f} ms a curve, {taken_s / count / bare_s():.0f} × the bare integral, "
        f"highest memory {memory_mb:.0f} MB",
        flush=True,
    )


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--firings", type=int, default=1000)
    firings = words.parse_args().firings
    call_command("migrate", verbosity=0)
    fill(1, firings // 10 + 1)
    report("never summed before")
    fill(firings // 10 + 1, firings + 1)
    report("a tenth of them true already")
    report("all true already")


if __name__ == "__main__":
    main()

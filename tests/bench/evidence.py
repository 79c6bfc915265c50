"""What evidence over all results costs the processor, against bare sorting: python -m tests.bench.evidence

A studio of so many invented outcomes is made in a folder of its own, or found under TILEWRIGHT_DATA. The floor is numpy
alone: one stable argsort of as many 64-bit numbers as there are judged results for each of the conditions looked at,
since finding pairs is grouping by all the other conditions. Whole pages are measured as they are asked for again, with
nothing written since. Exits with 1 where a bound is broken.
"""

import argparse
import sys
import time
from collections.abc import Callable
from functools import partial

import numpy as np

# Sets Django up, and the folder of a studio of its own where none is given.
from tests.bench.search import hold_all, make_studio, signed_in
from tiles.columns.queries import all_held
from tiles.evidence.gathered import Evidence
from tiles.evidence.matching import LOOKED_AT
from tiles.evidence.queries import MOST_RISKS, Scope, evidence_of, glaze_scope, standing_forms, studio_scope
from tiles.evidence.results import results_in
from tiles.models import ClayBody, Glaze, Outcome

TIMES = 5
MOST_MS = {"whole studio": 1500, "one glaze": 300, "an answer": 300}
MOST_TIMES_FLOOR = 20


def processor_ms(work: Callable[[], object]) -> float:
    """The best of some runs; the first, which reads what is kept from one to the next, is not counted."""
    work()
    found = []
    for _ in range(TIMES):
        began = time.process_time()
        work()
        found.append(time.process_time() - began)
    return min(found) * 1000


def told_of(scope: Scope, forms: frozenset[int]) -> None:
    """All that a page says, as after every write: nothing of it is kept from one run to the next."""
    held = all_held()
    evidence = Evidence(results_in(held, scope.chosen(held)), forms)
    for part in ("tiles", "effects", "risks", "spreads", "alike", "creeps"):
        getattr(evidence, part)
    evidence.risks.page(0, MOST_RISKS)


def floor(count: int) -> None:
    numbers = np.random.default_rng(1).integers(0, 2**40, count)
    for _ in LOOKED_AT:
        np.argsort(numbers, kind="stable")


def main() -> int:
    reader = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    reader.add_argument("--outcomes", type=int, default=100_000)
    make_studio(reader.parse_args().outcomes)
    hold_all()
    client, forms = signed_in(), standing_forms()
    glaze = max(Glaze.objects.all(), key=lambda one: Outcome.objects.filter(top_glaze=one).count())
    question = f"/answers/?glaze={glaze.pk}&body={ClayBody.objects.earliest('pk').pk}&cone=6&coats=2"
    pages = {"whole studio": "/evidence/", "one glaze": f"/evidence/glaze/{glaze.pk}/", "an answer": question}
    broken = []
    for name, scope in (("whole studio", studio_scope()), ("one glaze", glaze_scope(glaze))):
        evidence = evidence_of(scope)
        ours = processor_ms(partial(told_of, scope, forms))
        bare = processor_ms(partial(floor, evidence.results))
        print(
            f"{name}: {evidence.results} of {len(all_held().rows)} results, {evidence.pair_count} pairs, ",
            end="",
        )
        print(f"worked out in {ours:.0f} ms, {ours / bare:.1f} × bare sorting")
        if ours > MOST_TIMES_FLOOR * bare:
            broken.append(f"{name} against sorting")
    for name, address in pages.items():
        assert client.get(address).status_code == 200, address
        page = processor_ms(partial(client.get, address))
        print(f"{name}, whole page: {page:.0f} ms (bound {MOST_MS[name]})")
        if page > MOST_MS[name]:
            broken.append(name)
    print("kept" if not broken else f"broken: {', '.join(broken)}")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())

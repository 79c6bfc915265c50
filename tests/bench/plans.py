"""What a plan costs while you type: python -m tests.bench.plans

Five-factor plans, with the rule that no glaze goes under itself, are worked out anew, nothing remembered between them:
tile list, order, loads and totals; then the answer of the page that follows one's typing, with a logbook of a thousand
glazed tiles. Both are told in milliseconds and as a ratio to a yardstick of plain Python: ten thousand combinations of
five factors listed and counted by pairs.
Exits with 1 where a plan takes more than five yardsticks, or the page more than 150 ms.
"""

import os
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from itertools import combinations, product

import django

# Gone when this program ends.
FOLDER = tempfile.TemporaryDirectory(prefix="tilewright-bench-")
os.environ["TILEWRIGHT_DATA"] = FOLDER.name
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

from django.core.management import call_command  # noqa: E402
from django.test import Client, override_settings  # noqa: E402
from django.urls import reverse  # noqa: E402

from studio.people.services import add_person  # noqa: E402
from studio.roles import Role  # noqa: E402
from tests.factories import (  # noqa: E402
    ClayBodyFactory,
    GlazeFactory,
    KilnFactory,
    ShelfFactory,
    TileFormFactory,
)
from tiles.planner.reckoning import Ground, reckoned  # noqa: E402
from tiles.plans import covering  # noqa: E402
from tiles.plans.laying import ZonePlace  # noqa: E402
from tiles.plans.loads import ShelfRoom  # noqa: E402
from tiles.plans.sketch import Sketch  # noqa: E402
from tiles.plans.totals import FormFacts  # noqa: E402
from tiles.recording.grid import Amount, Cover, LayerRecipe, Recipe  # noqa: E402
from tiles.recording.services import glaze_tiles  # noqa: E402

MOST_RATIO, MOST_MS = 5.0, 150.0
SHAPES = ((5, 4, 3, 2, 2), (4, 4, 4, 4, 3), (6, 5, 4, 3, 2), (3, 3, 3, 3, 3))
FACTORS = ("glaze", "under", "body", "cone", "coats")
FORM = FormFacts(70, 110, 7, (70, 30), tuple(ZonePlace(f"band {place}", "band", 12.0) for place in (1, 2, 3)))
GROUND = Ground({"f": FORM}, {"f": 3}, {}, tuple(ShelfRoom(place, 400, 420) for place in (1, 2, 3, 4)))


def best_ms(work: Callable[[], object], times: int = 5) -> float:
    """The quickest of several runs [ms]."""
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - began))
    return min(taken)


def yardstick() -> int:
    """Every combination of 10 × 10 × 10 × 5 × 2 levels, and how often each pair meets."""
    seen: Counter[tuple[int, int, int, int]] = Counter()
    for row in product(range(10), range(10), range(10), range(5), range(2)):
        for one, other in combinations(range(5), 2):
            seen[one, row[one], other, row[other]] += 1
    return len(seen)


def sketch_of(shape: tuple[int, ...], way: str) -> Sketch:
    levels = {
        name: tuple(str(level) for level in range(1, count + 1))
        for name, count in zip(FACTORS, shape, strict=True)
    }
    return Sketch({**levels, "under": ("none", *levels["under"][1:]), "form": ("f",)}, way=way)


def plan(shape: tuple[int, ...], way: str) -> int:
    """One plan, nothing remembered; how many tiles it makes."""
    covering._planned.cache_clear()
    return reckoned(sketch_of(shape, way), GROUND).totals.tiles


def studio() -> tuple[Client, dict[str, object]]:
    """A logbook of a thousand tiles, and what a person types for a plan of five factors."""
    call_command("migrate", verbosity=0)
    person = add_person("Rowan Reed", Role.RECORDER)
    kiln = KilnFactory()
    for place in (1, 2, 3, 4):
        ShelfFactory(kiln=kiln, position=place)
    glazes, bodies = [GlazeFactory() for _ in range(40)], [ClayBodyFactory() for _ in range(6)]
    form = TileFormFactory()
    recipes = [
        Recipe(
            form.pk,
            bodies[place % 6].pk,
            (LayerRecipe(glazes[place % 40].pk, {"band 1": Cover(Amount(coats=1 + place % 3))}),),
            planned_order=(28, 30, 34)[place % 3],
        )
        for place in range(1000)
    ]
    glaze_tiles(recipes, by=person)
    client = Client()
    client.force_login(person)
    typed = {
        "glaze": [glaze.pk for glaze in glazes[:4]],
        "under": ["none", glazes[0].pk, glazes[6].pk],
        "over": ["none"],
        "body": [body.pk for body in bodies[:4]],
        "form": [form.pk],
        "coats": "1 to 3",
        "cones": "5, 6, 10",
        **dict.fromkeys(("under_coats", "over_coats", "copies"), "1"),
        "mix_steps": "4",
        "mix_batch_g": "100",
        "way": "pairs",
        "side_by_side": ["coats"],
        "rest": "same",
        "existing_counts": "on",
        "kiln": kiln.pk,
        "waste_pct": "20",
        "tiles_a_day": "20",
        "days_a_firing": "2",
    }
    return client, typed


def page_ms() -> float:
    """The answer to a keystroke, each time to another order so that nothing can be remembered [ms]."""
    client, typed = studio()
    address, seeds = reverse("tiles:planner:totals"), iter(range(1, 100))

    def keystroke() -> None:
        covering._planned.cache_clear()
        answer = client.post(address, {**typed, "seed": next(seeds)}, headers={"HX-Request": "true"})
        if b"plan-figure" not in answer.content:
            raise SystemExit("The page did not work the plan out.")

    keystroke()
    return best_ms(keystroke)


def main() -> int:
    base_ms = best_ms(yardstick)
    print(f"yardstick {base_ms:.0f} ms")
    worst = 0.0
    for way in ("pairs", "threes", "all"):
        for shape in SHAPES:
            taken_ms = best_ms(lambda shape=shape, way=way: plan(shape, way))
            worst = max(worst, taken_ms / base_ms) if way == "pairs" else worst
            print(
                f"{way:>6} {' × '.join(map(str, shape))}: {plan(shape, way)} tiles, {taken_ms:.0f} ms, "
                f"{taken_ms / base_ms:.2f} yardsticks"
            )
    with override_settings(ALLOWED_HOSTS=["testserver"]):
        whole_ms = page_ms()
    print(f"the page's answer to a keystroke: {whole_ms:.0f} ms, {whole_ms / base_ms:.2f} yardsticks")
    return 0 if worst <= MOST_RATIO and whole_ms <= MOST_MS else 1


if __name__ == "__main__":
    sys.exit(main())

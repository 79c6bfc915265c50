"""What a made-up studio did: shelves of glazes and bodies, and tiles by the thousand, as plain rows.

All shares are invented to be believable; none is a fact of the trade.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import numpy as np

from firings.cones import series
from firings.vocabulary import Atmosphere
from tiles.conditions.facts import LayerFacts
from tiles.conditions.stack import stack_key
from tiles.vocabulary import ColourFamily, FlawKind, GlazeKind, Method, Opacity, Surface, Verdict

ZONES = ("band 1", "band 2", "texture")
TILES_A_FIRING, TILES_A_SERIES, LOTS_A_GLAZE = 90, 24, 4
YEARS = 9
FIRST_HALVES = [
    "Amber",
    "Ash",
    "Birch",
    "Brine",
    "Cinder",
    "Cloud",
    "Copse",
    "Crag",
    "Dawn",
    "Drift",
    "Ember",
    "Fallow",
    "Fern",
    "Fog",
    "Gale",
    "Gorse",
    "Hazel",
    "Heron",
    "Iris",
    "Juniper",
    "Kelp",
    "Lark",
    "Loam",
    "Marl",
    "Mere",
    "Mist",
    "Nettle",
    "Oat",
    "Otter",
    "Peat",
    "Plover",
    "Quarry",
    "Rain",
    "Reed",
    "Rust",
    "Sedge",
    "Shale",
    "Sloe",
    "Thistle",
    "Umber",
]
SECOND_HALVES = [
    "Blue",
    "Bloom",
    "Crackle",
    "Dusk",
    "Field",
    "Gate",
    "Green",
    "Honey",
    "Light",
    "Moss",
    "Plum",
    "Shore",
    "Tide",
    "Veil",
    "White",
    "Wing",
]
BODIES = ("Dune", "Loft", "Hearth", "Pebble", "Quill", "Slate", "Tawny", "Wick")
KILNS = ("Oriel", "Bramble", "Keystone")
SAW = (
    "even",
    "cloudy",
    "mottled",
    "streaky",
    "broken over the edge",
    "pooled at the foot",
    "thin on the rim",
    "deep",
)
LIKE = (
    "like wet stone",
    "like milk",
    "like rust",
    "like moss",
    "like ice",
    "as last time",
    "unlike the label",
)
THEN = ("try thicker", "try cooler", "good beside the white", "keep off the foot", "", "", "")
CONES = (20, 27, 28, 29, 30, 31, 34)
OF_CONES = (0.08, 0.06, 0.22, 0.1, 0.4, 0.04, 0.1)
SURFACES, OPACITIES, VERDICTS, FLAWS = Surface.values(), Opacity.values(), Verdict.values(), FlawKind.values()


@dataclass(frozen=True, slots=True)
class Shelves:
    """The records that many results share; keys count from 1, glazes' lots four to a glaze."""

    glazes: tuple[tuple[str, str, int], ...]
    bodies: tuple[tuple[str, str, bool], ...]
    lots: tuple[str, ...]
    kilns: tuple[str, ...] = KILNS


@dataclass(frozen=True, slots=True)
class Fired:
    """One firing; `kiln` counts from 0."""

    kiln: int
    target: int
    reached: int
    atmosphere: str
    hold_min: int
    started_at: datetime

    @property
    def day(self) -> date:
        return self.started_at.date()

    @property
    def number(self) -> str:
        """The reached cone's number."""
        return str(series.of_order(self.reached).number)


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a tile is glazed: its layers bottom to top, each a glaze and a lot, and each zone's coats of them."""

    glazes: tuple[int, ...]
    lots: tuple[int | None, ...]
    methods: tuple[str, ...]
    coats: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """What was seen on one zone; `lab` is empty where no colour was measured."""

    surface: str
    opacity: str
    run_mm: float | None
    runs_off: bool
    gloss_gu: float | None
    lab: tuple[float, float, float] | tuple[()]
    verdict: str
    remark: str
    flaws: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """One tile: body, firing, series and recipe by their places, and each zone's judgement, None where not judged."""

    body: int
    firing: int
    series: int
    shelf: int
    recipe: Recipe
    judged: tuple[Judged | None, ...]


def shelves(glaze_count: int = 120) -> Shelves:
    """The studio's shelves; every tenth glaze is a flux to lay under others."""
    names = [f"{first} {second}" for second in SECOND_HALVES for first in FIRST_HALVES]
    step = 7
    glazes = tuple(
        (
            names[place * step % len(names)],
            GlazeKind.FLUX.value if place % 10 == 9 else GlazeKind.GLAZE.value,
            place,
        )
        for place in range(glaze_count)
    )
    bodies = tuple(
        (name, ColourFamily.values()[place % 5], place % 3 == 1) for place, name in enumerate(BODIES)
    )
    lots = tuple(f"{20 + lot}-{1 + glaze:03d}" for glaze in range(glaze_count) for lot in range(LOTS_A_GLAZE))
    return Shelves(glazes, bodies, lots)


def firings(count: int, chance: np.random.Generator) -> list[Fired]:
    """Firings of nine years, oldest first."""
    days = np.sort(chance.integers(0, 365 * YEARS, count))
    targets = chance.choice(CONES, count, p=OF_CONES)
    off = chance.choice((-1, 0, 1), count, p=(0.2, 0.65, 0.15))
    kilns = chance.choice(len(KILNS), count, p=(0.6, 0.3, 0.1))
    holds = chance.choice((0, 5, 10, 15, 30), count, p=(0.35, 0.1, 0.35, 0.15, 0.05))
    atmospheres = chance.choice(Atmosphere.values(), count, p=(0.8, 0.05, 0.15))
    first = datetime(2017, 3, 1, 12, tzinfo=UTC)
    return [
        Fired(
            int(kiln),
            int(target),
            int(target + change),
            str(atmosphere),
            int(hold),
            first + timedelta(int(day)),
        )
        for kiln, target, change, atmosphere, hold, day in zip(
            kilns, targets, off, atmospheres, holds, days, strict=True
        )
    ]


def recipes(count: int, glaze_count: int, chance: np.random.Generator) -> list[Recipe]:
    """Ways of glazing: few glazes are used much and many little; a third lie over another or over a flux."""
    shares = 1 / np.arange(1, glaze_count + 1) ** 0.8
    shares /= shares.sum()
    return [_recipe(glaze_count, shares, chance) for _ in range(count)]


def _recipe(glaze_count: int, shares: np.ndarray, chance: np.random.Generator) -> Recipe:
    layer_count = int(chance.choice((1, 2, 3), p=(0.64, 0.3, 0.06)))
    glazes = tuple(int(one) for one in chance.choice(glaze_count, layer_count, p=shares))
    lots = tuple(
        int(glaze * LOTS_A_GLAZE + chance.integers(LOTS_A_GLAZE)) if chance.random() < 0.7 else None
        for glaze in glazes
    )
    method = str(
        chance.choice((Method.BRUSH.value, Method.DIP.value, Method.SPRAY.value), p=(0.7, 0.15, 0.15))
    )
    methods = tuple(Method.BRUSH.value if method == Method.DIP.value else method for _ in glazes)
    under = tuple(int(chance.integers(1, 3)) for _ in glazes[:-1])
    most = int(chance.integers(2, 5))
    return Recipe(glazes, lots, methods, tuple((*under, coats) for coats in (most - 1, most, most - 1)))


def key_of(recipe: Recipe, zone: int, first_glaze: int = 1) -> str:
    """The stack's signature on one zone."""
    rows = zip(recipe.glazes, recipe.methods, recipe.coats[zone], strict=True)
    return stack_key(
        [LayerFacts(first_glaze + glaze, "", None, "", method, coats, None) for glaze, method, coats in rows]
    )


def tiles(
    count: int, fired: Sequence[Fired], ways: Sequence[Recipe], body_count: int, chance: np.random.Generator
) -> Iterator[Laid]:
    """Tiles in the order they were made."""
    bodies = chance.choice(body_count, count, p=_falling(body_count))
    ways_taken = chance.integers(0, len(ways), count)
    shelf = chance.integers(0, 4, count)
    draws = _Draws(chance)
    for place in range(count):
        firing = min(place // TILES_A_FIRING, len(fired) - 1)
        recipe = ways[ways_taken[place]]
        judged = tuple(draws.judged(recipe, zone, fired[firing]) for zone in range(len(ZONES)))
        yield Laid(int(bodies[place]), firing, place // TILES_A_SERIES, int(shelf[place]), recipe, judged)


def _falling(count: int) -> np.ndarray:
    shares = 1 / np.arange(1, count + 1)
    return np.asarray(shares / shares.sum())


class _Draws:
    """Chance drawn by the ten thousand, which is quicker than one by one."""

    AT_ONCE = 60_000

    def __init__(self, chance: np.random.Generator) -> None:
        self.chance = chance
        self.left: Iterator[list[float]] = iter(())

    def _next(self) -> list[float]:
        row = next(self.left, None)
        if row is None:
            self.left = iter(self.chance.random((self.AT_ONCE, 12)).tolist())
            row = next(self.left)
        return row

    def judged(self, recipe: Recipe, zone: int, fired: Fired) -> Judged | None:
        """What was seen: by glaze, coats and heat, with some chance."""
        is_judged, surface, opacity, ran, off, gloss, coloured, l_off, a_off, verdict, remark, flaw = (
            self._next()
        )
        if is_judged > 0.9:
            return None
        top, coats = recipe.glazes[-1], sum(recipe.coats[zone])
        heat = (fired.reached - 26) / 8
        runs = ran * ran * coats * max(heat, 0) * (2.4 if len(recipe.glazes) > 1 else 0.7)
        lab = (
            round(20 + (top * 37 % 70) + 6 * l_off - coats, 2),
            round(-25 + (top * 53 % 60) + 8 * a_off, 2),
            round(-30 + (top * 29 % 75) + 8 * l_off * a_off, 2),
        )
        return Judged(
            surface=SURFACES[int((top + 1.6 * surface) % 5)] if surface < 0.97 else "",
            opacity=OPACITIES[int((top + 1.3 * opacity) % 3)] if opacity < 0.9 else "",
            run_mm=round(runs, 1) if ran < 0.95 else None,
            runs_off=runs > 9 and off < 0.5,
            gloss_gu=round(5 + 90 * gloss * 5, 1) if gloss < 0.2 else None,
            lab=lab if coloured < 0.4 else (),
            verdict=VERDICTS[int(verdict * 4) % 3] if verdict < 0.8 else "",
            remark=_remark(remark) if remark < 0.35 else "",
            flaws=_flaws(flaw, top),
        )


def _remark(draw: float) -> str:
    place = int(draw * 1e7)
    words = (
        SAW[place % 8],
        LIKE[place // 8 % 7],
        THEN[place // 56 % 7],
        f"spot {place // 392 % 400}" if place % 3 else "",
    )
    return ", ".join(word for word in words if word)


def _flaws(draw: float, top: int) -> tuple[str, ...]:
    if draw > 0.22:
        return ()
    first = FLAWS[(top + int(draw * 40)) % len(FLAWS)]
    second = FLAWS[int(draw * 1e4) % len(FLAWS)]
    return (first, second) if draw < 0.05 and first != second else (first,)

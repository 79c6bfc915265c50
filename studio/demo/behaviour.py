"""The rules of the trade as the demo studio follows them: what a stack does on a body in a firing.

The directions are common practice, without a source: thicker runs further and hides more, a flux loosens what it
meets, iron in the body darkens, edges break, heat melts and too much of it runs, a hold heals pinholes, reduction
turns copper red and iron grey-green. The sizes are ours, made up so that the demo looks like a studio's year.
"""

from dataclasses import dataclass
from math import exp
from zlib import crc32

from studio.demo.catalogue import Body, Recipe, ZoneShape

MELTING = ("glaze", "flux")
GLOSS_OF = {"glossy": 0.93, "semi": 0.72, "satin": 0.48, "matt": 0.24, "dry": 0.05}
# Lowest share of a mirror's shine at which a surface is still called by this word.
GLOSS_STEPS = (("glossy", 0.8), ("semi", 0.58), ("satin", 0.34), ("matt", 0.12), ("dry", 0.0))


@dataclass(frozen=True, slots=True)
class Heat:
    """What the ware saw: cone on the scale where whole cones are one apart, atmosphere, hold [min]."""

    number: float
    atmosphere: str = "oxidation"
    hold_min: int = 0


@dataclass(frozen=True, slots=True)
class Laid:
    """One layer of a stack: full coats (a dip counts as some), and how it went on."""

    recipe: Recipe
    coats: float
    method: str = "brush"

    @property
    def melts(self) -> bool:
        """Whether it turns to glass; underglaze, engobe and wash hardly do."""
        return self.recipe.kind in MELTING


@dataclass(frozen=True, slots=True)
class Fired:
    """One zone in one firing: layers bottom to top, and the room below it before a run leaves the tile [mm]."""

    layers: tuple[Laid, ...]
    body: Body
    heat: Heat
    zone: ZoneShape
    upright: bool = True
    room_mm: float = 24.0
    seed: int = 0

    def luck(self, about: str) -> float:
        """What no log explains, -1 to 1: the same for the same tile and matter."""
        return crc32(f"{self.seed}:{about}".encode()) / 0x7FFFFFFF - 1

    @property
    def glass(self) -> tuple[Laid, ...]:
        """The layers that melt."""
        return tuple(layer for layer in self.layers if layer.melts)

    @property
    def coats(self) -> float:
        """Coats of what melts."""
        return sum(layer.coats for layer in self.glass)

    @property
    def flux_coats(self) -> float:
        """Coats of flux, as far as they count."""
        return min(1.5, sum(layer.coats for layer in self.layers if layer.recipe.kind == "flux"))

    @property
    def top(self) -> Laid | None:
        """The glaze that is seen: the uppermost that melts and is no flux, else whatever lies on top."""
        seen = [layer for layer in self.glass if layer.recipe.kind != "flux"] or list(self.layers)
        return seen[-1] if seen else None


def coats_of_dip(dip_s: float) -> float:
    """What a dip of so many seconds on bisque amounts to in brushed coats: it builds with the root of time.

    The root follows filtration through a growing cake; two seconds as two coats is common practice, no source.

    >>> round(coats_of_dip(2), 2), round(coats_of_dip(4), 2)
    (2.0, 2.83)
    """
    return float((2 * dip_s) ** 0.5)


def ripeness(fired: Fired) -> float:
    """How far the glaze has melted: below 0 raw, 0.2 to 0.8 as meant, above 1 too far; a flux brings it on."""
    if not fired.top:
        return 0.0
    low, high = fired.top.recipe.cones.numbers
    felt = fired.heat.number + 0.5 * fired.flux_coats + 0.1 * fired.heat.hold_min / 15
    return (felt - (low - 1.2)) / (high - low + 2.4)


def mobility(fired: Fired) -> float:
    """How readily the melt moves, 0 to about 1.3: the layers' own, and more where two different ones meet."""
    if not fired.coats:
        return 0.0
    own = sum(layer.recipe.fluid * layer.coats for layer in fired.glass) / fired.coats
    meeting = 0.12 if len({layer.recipe.name for layer in fired.glass}) > 1 else 0.0
    return own + meeting + (0.15 if fired.flux_coats else 0.0)


def run_mm(fired: Fired) -> float:
    """How far it ran down an upright face [mm], to the half millimetre; next to nothing on a flat one."""
    melted = max(ripeness(fired) - 0.1, 0.0) / 0.6
    reach = 11 * mobility(fired) ** 1.25 * (fired.coats / 3) ** 1.7 * melted**1.6
    reach *= (1 + 0.12 * fired.luck("run")) * (1.0 if fired.upright and fired.zone.kind != "foot" else 0.06)
    return round(min(reach, 90.0) * 2) / 2


def shine(fired: Fired) -> float:
    """Share of a mirror's shine, 0 to 1: duller where raw or thin, glassier where fluxed or overfired."""
    top, ripe = fired.top, ripeness(fired)
    if not top or not top.melts:
        return 0.05 + (0.08 if fired.layers and fired.heat.number > 5 else 0.0)
    own = GLOSS_OF[top.recipe.surface] + 0.1 * min(fired.flux_coats, 1.0)
    own += 0.3 * min(max(ripe - 0.9, 0.0), 1.0) + 0.03 * fired.luck("shine")
    thin = 0.86 if fired.coats < 1.5 else 1.0
    return float(min(max(own * thin * min(max(ripe / 0.22, 0.06), 1.0), 0.02), 0.98))


def surface_word(share: float) -> str:
    """The word for a share of a mirror's shine.

    >>> surface_word(0.9), surface_word(0.2)
    ('glossy', 'matt')
    """
    return next(word for word, lowest in GLOSS_STEPS if share >= lowest)


def hidden(fired: Fired) -> float:
    """Share of the body that the stack hides, 0 to 1; a raw coat hides more than a melted one."""
    depth = sum(layer.recipe.hiding * layer.coats for layer in fired.layers)
    raw = 0.3 * (1 - min(max(ripeness(fired) / 0.22, 0.0), 1.0)) if fired.coats else 0.0
    return 1 - exp(-1.1 * (depth + raw))


def opacity_word(share: float) -> str:
    """The word for a hidden share."""
    return "transparent" if share < 0.2 else "translucent" if share < 0.8 else "opaque"


def breaking(fired: Fired) -> float:
    """How much it breaks over edges, 0 to 1: it must melt to run off them, and be thick enough to show."""
    if not fired.top:
        return 0.0
    melted = min(max(ripeness(fired) / 0.5, 0.0), 1.2)
    return float(min(fired.top.recipe.breaks * melted * (0.6 + 0.15 * min(fired.coats, 3)), 1.0))


def pooling(fired: Fired) -> float:
    """How much it gathers in hollows and at the foot, 0 to 1."""
    melted = min(max(ripeness(fired) - 0.1, 0.0) / 0.6, 1.4)
    lies = 1.5 if fired.zone.kind == "foot" or fired.zone.textured else 1.0
    return float(min(0.55 * mobility(fired) * melted * fired.coats**0.5 * lies, 1.0))


def degree_word(share: float) -> str:
    """None, slight or marked."""
    return "none" if share < 0.22 else "slight" if share < 0.5 else "marked"


def runs_off(fired: Fired) -> bool:
    """Whether it left the tile."""
    return run_mm(fired) > fired.room_mm

"""Which flaws a stack shows on a body in a firing, and how badly: common practice, no source, sizes of our own."""

from collections.abc import Callable

from studio.demo.behaviour import Fired, ripeness, runs_off

SLIGHT, MARKED, SEVERE = 0.36, 0.56, 0.8
Cause = Callable[[Fired, float], float]


def severity_word(amount: float) -> str:
    """The word for an amount of a flaw; nothing below what an eye would note."""
    if amount < SLIGHT:
        return ""
    return "slight" if amount < MARKED else "marked" if amount < SEVERE else "severe"


def flaw_amounts(fired: Fired) -> dict[str, float]:
    """The flaws an eye would note, each 0..1, by the trade's word."""
    ripe = ripeness(fired)
    found = {
        kind: cause(fired, ripe) + 0.07 * fired.luck(f"{kind} {fired.zone.name}")
        for kind, cause in CAUSES.items()
    }
    return {kind: min(amount, 1.0) for kind, amount in found.items() if amount >= SLIGHT}


def _crazing(fired: Fired, ripe: float) -> float:
    """Glaze that shrinks more than the body: worse where thick, and on a body that is not mature."""
    if not fired.glass or not fired.top or ripe < 0.12:
        return 0.0
    unripe = max(fired.body.cones.numbers[0] - fired.heat.number, 0.0)
    return 0.85 * fired.top.recipe.craze + 0.05 * (fired.coats - 2) + min(0.12 * unripe, 0.4)


def _pinholing(fired: Fired, ripe: float) -> float:
    """Gas from the body that the melt had no time to heal: a hold heals, a stiff or raw glaze does not."""
    if not fired.glass or not fired.top:
        return 0.0
    held = min(fired.heat.hold_min, 15) / 15
    raw = 0.2 if ripe < 0.2 else 0.0
    return (0.72 * fired.body.gas + 0.3 * fired.top.recipe.pinhole) * (1 - 0.7 * held) + raw


def _pitting(fired: Fired, ripe: float) -> float:
    stiff = fired.top is not None and fired.top.recipe.surface in ("matt", "satin") and bool(fired.glass)
    return fired.top.recipe.pinhole * 0.75 + 0.12 * (ripe < 0.4) if stiff and fired.top else 0.0


def _crawling(fired: Fired, ripe: float) -> float:
    """Thick, dusty or over a slick layer: the glaze draws back."""
    if not fired.glass or not fired.top:
        return 0.0
    slick = 0.16 if any(layer.recipe.kind in ("underglaze", "engobe") for layer in fired.layers) else 0.0
    thick = 0.6 + 0.42 * max(fired.coats - 2, 0)
    return fired.top.recipe.crawl * thick + slick * min(fired.coats / 3, 1.0)


def _streaking(fired: Fired, ripe: float) -> float:
    """One brushed coat of something that hides is a streaky one."""
    top = fired.top
    if not top or top.method != "brush" or top.recipe.hiding < 0.5 or top.recipe.kind == "wash":
        return 0.0
    return (0.95 - 0.32 * top.coats) * (0.35 + 0.45 * top.recipe.hiding) + 0.06 * (ripe < 0.3)


def _blistering(fired: Fired, ripe: float) -> float:
    return max(ripe - 1.05, 0.0) * 1.1 + 0.35 * fired.body.gas * (ripe > 1) if fired.glass else 0.0


def _cratering(fired: Fired, ripe: float) -> float:
    unhealed = fired.heat.hold_min < 10 and fired.coats >= 3
    return 0.58 * fired.body.gas * unhealed * (ripe > 0.45)


def _dimpling(fired: Fired, ripe: float) -> float:
    sprayed = fired.top is not None and fired.top.method == "spray" and bool(fired.glass)
    return 0.42 * sprayed * (ripe < 0.8)


def _devitrification(fired: Fired, ripe: float) -> float:
    """A clear glaze kept hot for long grows dull crystals."""
    clear = fired.top is not None and fired.top.melts and fired.top.recipe.hiding < 0.05
    return 0.2 + 0.02 * fired.heat.hold_min if clear and ripe > 0.75 else 0.0


def _scumming(fired: Fired, ripe: float) -> float:
    salty = fired.body.colour_family == "red" and fired.heat.number < 0
    return 0.26 + 0.16 * fired.luck("salts") if salty and fired.glass else 0.0


def _underfired(fired: Fired, ripe: float) -> float:
    return 0.42 + max(0.08 - ripe, 0.0) if fired.glass and ripe < 0.08 else 0.0


def _overfired(fired: Fired, ripe: float) -> float:
    return 0.42 + (ripe - 1.1) if fired.glass and ripe > 1.1 else 0.0


def _bloating(fired: Fired, ripe: float) -> float:
    """A body past its range swells; a gassy dark one swells in reduction too."""
    past = max(fired.heat.number - fired.body.cones.numbers[1] - 1.4, 0.0)
    choked = 0.6 * fired.body.gas if fired.heat.atmosphere == "reduction" and fired.body.iron > 0.5 else 0.0
    return min(past, 1.0) * 0.4 + 0.06 * past + choked


def _shivering(fired: Fired, ripe: float) -> float:
    tight = fired.top is not None and fired.top.recipe.craze == 0 and bool(fired.glass)
    return 0.52 if tight and fired.body.absorption_pct < 1 and fired.luck("edge") > 0.3 else 0.0


def _dunting(fired: Fired, ripe: float) -> float:
    return 0.6 if fired.luck("crack") > 0.984 else 0.0


def _plucking(fired: Fired, ripe: float) -> float:
    return 0.62 if runs_off(fired) else 0.0


CAUSES: dict[str, Cause] = {
    "crazing": _crazing,
    "pinholing": _pinholing,
    "pitting": _pitting,
    "crawling": _crawling,
    "streaking": _streaking,
    "blistering": _blistering,
    "cratering": _cratering,
    "dimpling": _dimpling,
    "devitrification": _devitrification,
    "scumming": _scumming,
    "underfired": _underfired,
    "overfired": _overfired,
    "bloating": _bloating,
    "shivering": _shivering,
    "dunting": _dunting,
    "plucking": _plucking,
}

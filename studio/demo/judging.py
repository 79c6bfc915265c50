"""How the demo's people judge a fired zone: the words of the trade, a verdict, and now and then a remark."""

from dataclasses import dataclass

from studio.demo import behaviour, mishaps
from studio.demo.behaviour import Fired
from studio.demo.catalogue import Body
from studio.demo.fired_colour import lab_of, zone_rgb
from studio.demo.picture import Rgb


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a person notes of a zone; words are those stored in tiles/vocabulary.py."""

    surface: str
    opacity: str
    run_mm: float
    ran_off: bool
    pooling: str
    breaking: str
    gloss_gu: float
    rgb: Rgb
    lab: tuple[float, float, float]
    flaws: tuple[tuple[str, str], ...]
    verdict: str
    remark: str


def judge(fired: Fired) -> Judgement:
    """Judge one zone as the rules of the trade make it come out."""
    share = behaviour.shine(fired)
    flaws = tuple((kind, mishaps.severity_word(much)) for kind, much in mishaps.flaw_amounts(fired).items())
    rgb = zone_rgb(fired)
    return Judgement(
        surface=behaviour.surface_word(share),
        opacity=behaviour.opacity_word(behaviour.hidden(fired)) if fired.layers else "",
        run_mm=behaviour.run_mm(fired),
        ran_off=behaviour.runs_off(fired),
        pooling=behaviour.degree_word(behaviour.pooling(fired)),
        breaking=behaviour.degree_word(behaviour.breaking(fired)) if fired.zone.textured else "",
        gloss_gu=round(1.5 + 93 * share**1.5, 1),
        rgb=rgb,
        lab=lab_of(rgb),
        flaws=flaws,
        verdict=_verdict(fired, dict(flaws)),
        remark=_remark(fired, dict(flaws)),
    )


def _verdict(fired: Fired, flaws: dict[str, str]) -> str:
    if "severe" in flaws.values() or behaviour.runs_off(fired) or "bloating" in flaws:
        return "reject"
    if "marked" in flaws.values() or "underfired" in flaws or "overfired" in flaws:
        return "retest"
    top = fired.top
    if top and top.recipe.coats[0] <= round(top.coats) <= top.recipe.coats[1]:
        return "keep"
    return ""


REMARKS: dict[str, tuple[str, ...]] = {
    "plucking": (
        "Off the foot and onto the cookie. Two coats at most over that flux.",
        "Stuck fast; chipped it off the shelf with goggles on.",
        "Ran clean off. Never on a pot like this.",
    ),
    "bloating": (
        "Body swelled, pushed bubbles through. Wrong cone for this clay.",
        "Blown up like a cushion.",
    ),
    "dunting": ("Cracked through on cooling, rang dull when tapped.",),
    "crawling": (
        "Crawled off the corner, islands with fat rims.",
        "Dusty bisque, I think. Wipe it next time.",
        "Too thick: it cracked while drying and drew back in the fire.",
    ),
    "blistering": ("Blisters, some burst and sharp.", "Too hot for it; boiled."),
    "cratering": ("Craters all over the thick part. Try it with a hold.",),
    "pinholing": (
        "Pinholes down to the clay. Needs the hold.",
        "Gassy clay: pinholed wherever the coat is thick.",
        "Pinholes; the other kiln’s shelf had none.",
    ),
    "crazing": ("Crazed within a day of the kiln.", "Fine net all over, pings still after a week."),
    "underfired": ("Still chalk. Not its cone.", "Dry as the bag it came in."),
    "overfired": ("Cooked: colour gone, all gloss.", "Past it. Thin and runny."),
    "streaking": ("Brush marks stay. One coat is not a coat.", "Streaky, the clay looks through."),
    "shivering": ("Slivers came off the edge under a thumbnail.",),
    "devitrification": ("Gone cloudy: held too long.",),
    "scumming": ("White bloom over the clay, salts from the body.",),
}
TEXTURE_REMARKS = ("Breaks beautifully on the edges.", "Pools in the cuts, pale on the ridges.")
GOOD_REMARKS = (
    "This is the one.",
    "Even, quiet, does what it should.",
    "Good depth where it pooled.",
    "Close to the board tile from spring.",
    "Worth a bowl.",
)
MOVING_REMARKS = (
    "Rivulets all the way down, lovely. Mind the foot.",
    "The flux wakes it up: blue with pale streams.",
    "Moves a lot, stops just in time.",
)


def _remark(fired: Fired, flaws: dict[str, str]) -> str:
    """Most zones get no remark; a flaw or a fine result gets one more often."""
    pick = fired.luck(f"words {fired.zone.name}")
    for kind, words in REMARKS.items():
        if kind in flaws and pick > (0.55 if flaws[kind] == "slight" else -0.1):
            return _one_of(words, fired)
    if fired.flux_coats and behaviour.run_mm(fired) > 4 and pick > 0:
        return _one_of(MOVING_REMARKS, fired)
    if flaws or pick < 0.8:
        return ""
    return _one_of(TEXTURE_REMARKS if fired.zone.textured else GOOD_REMARKS, fired)


def _one_of(words: tuple[str, ...], fired: Fired) -> str:
    return words[int((fired.luck(f"choice {fired.zone.name}") + 1) / 2 * len(words)) % len(words)]


def blush(body: Body, atmosphere: str) -> Rgb | None:
    """The colour bare clay takes beside glaze, where it takes one."""
    return body.blush if atmosphere == "reduction" and body.iron < 0.5 else None

"""What results can be asked by: groups of choices. Within a group any choice may hold; all groups must hold."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any

from firings.cones import series
from firings.vocabulary import Atmosphere, Term
from tiles.colour.near import USUAL_DE
from tiles.conditions.line import date_words
from tiles.search.spans import Span, read_decimal, read_span, read_whole, write_span
from tiles.vocabulary import ColourFamily, FlawKind, Method, Opacity, Surface, Verdict

Words = tuple[tuple[str, str], ...]
# For a group, the words of each value that only the records know: a glaze's name by its key.
Names = Mapping[str, Mapping[str, str]]

GONE = "one that is gone"


class Stacking(Term):
    """What a stack is, apart from which glazes it holds."""

    ALONE = "alone", "one glaze alone"
    LAYERED = "layered", "one over another"
    FLUX = "flux", "with a flux"


class ConeBy(Term):
    REACHED = "reached", "reached"
    TARGET = "target", "target"


class CoatsOf(Term):
    TOTAL = "total", "all layers"
    TOP = "top", "top layer"


class Sort(Term):
    NEWEST = "newest", "newest first"
    NUMBER = "number", "by tile number"
    CONE = "cone", "hottest first"
    COATS = "coats", "most coats first"
    RUN = "run", "longest run first"
    NEAREST = "nearest", "nearest colour first"


class View(Term):
    GRID = "grid", "Grid"
    LIST = "list", "List"


YES, NO, NONE, OFF = "yes", "no", "none", "off"
# Run is kept to a tenth of a millimetre, so these spans leave no gap.
RUN_SPANS: Words = (
    ("0", "none"),
    ("0.1–2", "up to 2 mm"),
    ("2.1–5", "2 to 5 mm"),
    ("5.1–10", "5 to 10 mm"),
    ("10.1–", "over 10 mm"),
    (OFF, "ran off the foot"),
)
# The spans of one geometry each: a gloss meter at 60° says most between 10 and 70 GU, below that one looks at 85°,
# above at 20° (ISO 2813; from memory, unverified). Gloss is kept to a tenth, so these spans leave no gap.
GLOSS_SPANS: Words = (("0–9.9", "under 10 GU"), ("10–70", "10 to 70 GU"), ("70.1–", "over 70 GU"))

# All layers on a zone together, kept to a hundredth of a millimetre, so these spans leave no gap.
THICKNESS_SPANS: Words = (
    ("0–0.49", "under 0.5 mm"),
    ("0.5–1", "0.5 to 1 mm"),
    ("1.01–2", "1 to 2 mm"),
    ("2.01–", "over 2 mm"),
)


def whole_span(text: str) -> Span[int]:
    return read_span(text, read_whole)


def cone_span(text: str) -> Span[int]:
    """Cones as their ranks in the series: 6, 5–6, 04 to 03; raises ValueError in words fit for a form."""
    return read_span(text, series.order_of)


def firing_span(text: str) -> Span[int]:
    """Firing numbers: 231, F-0231, 225–231; raises ValueError in words fit for a form."""
    return whole_span(text.strip().upper().replace("F-", ""))


def run_span(text: str) -> Span[Decimal]:
    return read_span(text, read_decimal)


def coats_words(span: Span[int]) -> str:
    """Coats in words; a stack of dips alone has none."""
    if span == Span(0, 0):
        return "no coats, dipped"
    return "1 coat" if span == Span(1, 1) else f"{write_span(span)} coats"


def hold_words(span: Span[int]) -> str:
    return "no hold" if span == Span(0, 0) else f"{write_span(span)} min hold"


def run_words(span: Span[Decimal]) -> str:
    return f"{write_span(span, lambda mm: f'{mm.normalize():f}')} mm"


def gloss_words(span: Span[Decimal]) -> str:
    return f"{write_span(span, lambda figure: f'{figure.normalize():f}')} GU"


@dataclass(frozen=True, slots=True)
class Scale:
    """Figures one may ask for singly or by a span.

    read : a figure or span as people write it; raises ValueError in words fit for a form
    words : a span in words
    hint : what may be typed beside the choices
    typed : how a counted figure is written in the address
    falling : whether the highest figure stands first
    """

    read: Callable[[str], Span[Any]]
    words: Callable[[Span[Any]], str]
    hint: str
    typed: Callable[[str], str] = str
    falling: bool = False

    def rank(self, text: str) -> float:
        """Where a figure stands; what is none stands last."""
        return _rank(self, text)


@lru_cache(maxsize=4096)
def _rank(scale: Scale, text: str) -> float:
    try:
        low = float(scale.read(text).low or 0)
    except ValueError:
        return float("inf")
    return -low if scale.falling else low


CONES = Scale(
    cone_span,
    lambda span: write_span(span, series.label_of),
    "a range, such as 5–6",
    typed=lambda order: series.label_of(int(order)),
)
COATS = Scale(whole_span, coats_words, "a range, such as 2–3")
HOLDS = Scale(whole_span, hold_words, "minutes, such as 5–15")
RUNS = Scale(run_span, run_words, "mm, such as 2–4")
GLOSSES = Scale(run_span, gloss_words, "GU at 60°, such as 20–40")
THICKNESSES = Scale(run_span, run_words, "mm, such as 0.5–0.7")
SHELVES = Scale(whole_span, lambda span: f"shelf {write_span(span)}", "from the bottom, such as 1–2")
FIRINGS = Scale(
    firing_span,
    lambda span: write_span(span, lambda number: f"F-{number:04d}"),
    "numbers, such as 225–231",
    falling=True,
)


@dataclass(frozen=True, slots=True)
class Setting:
    """How a group is meant: a parameter and what it may say, what is meant unless said otherwise first."""

    name: str
    choices: Words


@dataclass(frozen=True, slots=True)
class Group:
    """One group of choices.

    name : parameter in the address
    title : over the choices; `chip` frames a choice's words among the filters in force
    choices : a closed list in the trade's order; where empty, the choices are those that occur
    scale : for figures; None for words and records
    is_open : unfolded from the start
    setting : how it is meant, where that can be chosen
    note : what one must know to choose
    """

    name: str
    title: str
    chip: str = "{}"
    choices: Words = ()
    scale: Scale | None = None
    is_open: bool = False
    setting: Setting | None = None
    note: str = ""


CONE_BY = Setting("cone_by", tuple(ConeBy.choices()))
COATS_OF = Setting("coats_of", tuple(CoatsOf.choices()))

GROUPS = (
    Group("glaze", "Glaze in the stack", "with {}", is_open=True),
    Group("top", "Glaze on top", "{} on top"),
    Group("over", "Glaze over another", "{} over another"),
    Group("under", "Glaze underneath", "{} underneath"),
    Group("stack", "Stack", choices=tuple(Stacking.choices())),
    Group("body", "Clay body", "on {}", is_open=True),
    Group("colour", "Colour of the clay", "{} clay", tuple(ColourFamily.choices())),
    Group("speckled", "Speckle", choices=((YES, "speckled"), (NO, "not speckled"))),
    Group("cone", "Cone", "cone {}", scale=CONES, is_open=True, setting=CONE_BY),
    Group("atmosphere", "Atmosphere", choices=tuple(Atmosphere.choices())),
    Group("hold", "Hold", scale=HOLDS),
    Group("coats", "Coats", scale=COATS, is_open=True, setting=COATS_OF),
    Group("method", "Put on by", choices=tuple(Method.choices())),
    Group("surface", "Surface", choices=tuple(Surface.choices())),
    Group("opacity", "Opacity", choices=tuple(Opacity.choices())),
    Group("run", "Run", "run: {}", RUN_SPANS, RUNS),
    Group("gloss", "Gloss at 60°", "gloss {}", GLOSS_SPANS, GLOSSES),
    Group(
        "thickness",
        "Thickness of the glaze",
        "glaze {} thick",
        THICKNESS_SPANS,
        THICKNESSES,
        note="All layers together, of results whose every layer was measured.",
    ),
    Group("flaw", "Flaw seen", choices=((NONE, "no flaw"), *FlawKind.choices())),
    Group("no_flaw", "Flaw not seen", "without {}", tuple(FlawKind.choices())),
    Group("verdict", "Verdict", "verdict: {}", tuple(Verdict.choices())),
    Group("texture", "Texture", choices=((YES, "textured"), (NO, "smooth"))),
    Group("judged", "Judged", choices=((YES, "judged"), (NO, "not judged yet"))),
    Group("photo", "Photo", choices=((YES, "with a photo"), (NO, "without a photo"))),
    Group("kiln", "Kiln", "kiln {}"),
    Group("shelf", "Shelf", scale=SHELVES),
    Group("firing", "Firing", scale=FIRINGS),
    Group("series", "Series", "series {}"),
    Group("lot", "Lot", "lot of {}"),
)
BY_NAME = {group.name: group for group in GROUPS}

# Parameters beside the groups: what refines a group, dates, words typed, the order, and how it is shown.
REFINES: Mapping[str, tuple[str, ...]] = {
    "cone_by": ("cone",),
    "coats_of": ("coats",),
    "within": ("like", "near"),
}
DATES = {"since": "fired from", "until": "fired up to"}
# A measured colour near that of another result, or near one that was picked.
COLOURS = {"like": "Colour like a result’s", "near": "Colour"}
SEARCHED = (*BY_NAME, *REFINES, *DATES, *COLOURS, "q")
NAMES_IN_ADDRESS = (*SEARCHED, "sort", "view")


def title_of(name: str) -> str:
    """What a parameter is called on the page."""
    if name in DATES:
        return DATES[name].capitalize()
    others = {"q": "Words", "sort": "Order", "within": "How far off, ΔE", **COLOURS}
    return BY_NAME[name].title if name in BY_NAME else others.get(name, name)


def choice_words(group: Group, value: str, names: Names) -> str:
    """A choice in words, as it stands beside its box; what cannot be read stands as it was typed."""
    known = known_words(group.choices) or names.get(group.name, {})
    if value in known:
        return known[value]
    if group.scale is None:
        return value if group.choices else GONE
    return _figure_words(group.scale, value)


@cache
def known_words(choices: Words) -> dict[str, str]:
    """A closed list's words by what is stored."""
    return dict(choices)


@lru_cache(maxsize=4096)
def _figure_words(scale: Scale, value: str) -> str:
    try:
        return scale.words(scale.read(value))
    except ValueError:
        return value


def chip_words(name: str, value: str, names: Names, settings: Mapping[str, str]) -> str:
    """A filter in force, in words; `settings` holds what refines cones and coats."""
    if name == "q":
        return f"“{value}”"
    if name in DATES:
        return f"{DATES[name]} {_date_words(value)}"
    if name in COLOURS:
        asked = names.get(name, {}).get(value, value)
        return f"colour like {asked}, within ΔE {settings.get('within') or f'{USUAL_DE:g}'}"
    group = BY_NAME[name]
    words = group.chip.format(choice_words(group, value, names))
    if name == "cone":
        return f"{words} {settings.get('cone_by') or ConeBy.REACHED.value}"
    if name == "coats" and settings.get("coats_of") == CoatsOf.TOP.value:
        return f"{words} on top"
    return words


def _date_words(text: str) -> str:
    try:
        return date_words(date.fromisoformat(text))
    except ValueError:
        return text

"""The clip-board sheet: the tiles of a series in the order to make them, with boxes to tick."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tiles.prints.cards import PAPERS
from tiles.prints.fit import Fitted, Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.marks import GREY_INK, Layout, Plate, Rule
from tiles.prints.stock import A4, Box
from tiles.prints.working import FOOT, LEAD, MARGIN_MM, STRONG, TITLE

FOOT_MM = 10.0
BOX_MM = 6.0
TICKS = ("glazed", "loaded")
TICK_MM = 15.0
NUMBER_MM = 27.0
FACTS_MM = 52.0
PAD_MM = 2.2
# As many lines as a tile of a dozen zones takes; what is longer is said to be left out.
TALLEST_MM = 90.0

HEAD = Type(Typeface.BOLD, 8.5, 7)
NUMBER = Type(Typeface.BOLD, 15, 10)
BODY = Type(Typeface.TEXT, 9.5, 7)
CAUTION = "Glaze dust harms lungs: wipe wet, do not sweep. Labels, data sheets and local rules stand over this sheet."


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One tile: its number with check digit, clay and form, its fire, where it is to stand, zones with their coats."""

    number: str
    clay: str
    fire: str
    stand: str
    zones: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class SheetFacts:
    """All that stands on the sheets of one series."""

    title: str
    question: str
    rows: tuple[SheetRow, ...]
    weighed: tuple[tuple[str, str], ...] = ()
    order: str = ""
    studio: str = ""


def sheets(facts: SheetFacts, paper: str = "A4") -> list[Layout]:
    """The sheets, each a layout as large as the paper."""
    pages = list(_pages(facts, *PAPERS.get(paper, A4)))
    for number, layout in enumerate(pages, start=1):
        _foot(layout, facts, number, len(pages))
    return pages


def _pages(facts: SheetFacts, width_mm: float, height_mm: float) -> Iterator[Layout]:
    page = Layout(facts.title, width_mm, height_mm)
    y_mm = _table_head(page, _title(page, facts))
    floor_mm = height_mm - MARGIN_MM - FOOT_MM
    for row in facts.rows:
        set_row = _set_row(row, width_mm)
        if y_mm + set_row.height_mm > floor_mm:
            yield page
            page = Layout(facts.title, width_mm, height_mm)
            y_mm = _table_head(page, MARGIN_MM)
        y_mm = _draw_row(page, row, set_row, y_mm)
    if facts.weighed:
        needed_mm = 12 + 6 * len(facts.weighed)
        if y_mm + needed_mm > floor_mm:
            yield page
            page, y_mm = Layout(facts.title, width_mm, height_mm), MARGIN_MM
        _weighed(page, facts.weighed, y_mm + 6)
    yield page


def _title(page: Layout, facts: SheetFacts) -> float:
    inner_mm = page.width_mm - 2 * MARGIN_MM
    y_mm = (
        page.set("title", fit(facts.title, TITLE, inner_mm, 16), Box(MARGIN_MM, MARGIN_MM, inner_mm, 16)) + 2
    )
    lead = " ".join(filter(None, (facts.question, facts.order)))
    if lead:
        y_mm = page.set(
            "question", flow(lead, LEAD, inner_mm, 18), Box(MARGIN_MM, y_mm, inner_mm, 18), grey=GREY_INK
        )
    return y_mm + 4


def _columns(width_mm: float) -> tuple[float, float, float, float]:
    """Where the tick boxes, the number, the facts and the zones begin."""
    number_mm = MARGIN_MM + TICK_MM * len(TICKS)
    return MARGIN_MM, number_mm, number_mm + NUMBER_MM, number_mm + NUMBER_MM + FACTS_MM


def _table_head(page: Layout, y_mm: float) -> float:
    ticks_mm, number_mm, facts_mm, zones_mm = _columns(page.width_mm)
    heads = [*((ticks_mm + place * TICK_MM, words) for place, words in enumerate(TICKS))]
    heads += [(number_mm, "tile"), (facts_mm, "clay, fire, place"), (zones_mm, "zones, bottom coat first")]
    for x_mm, words in heads:
        page.set("head", fit(words, HEAD, 60, 5), Box(x_mm, y_mm, 60, 5), grey=GREY_INK)
    page.marks.append(Rule(MARGIN_MM, y_mm + 5, page.width_mm - MARGIN_MM, y_mm + 5, width_pt=0.8))
    return y_mm + 5


@dataclass(frozen=True, slots=True)
class _SetRow:
    """A row's words, set."""

    number: Fitted
    facts: tuple[Fitted, ...]
    zones: tuple[tuple[Fitted, Fitted], ...]
    height_mm: float


LINE_MM = 1.0


def _set_row(row: SheetRow, width_mm: float) -> _SetRow:
    *_, zones_mm = _columns(width_mm)
    zones_wide_mm = width_mm - MARGIN_MM - zones_mm
    name_mm = zones_wide_mm * 0.36
    facts = tuple(flow(words, BODY, FACTS_MM - 3, 24) for words in (row.clay, row.fire, row.stand) if words)
    zones = tuple(
        (flow(zones, BODY, name_mm - 2, 30), flow(words, STRONG, zones_wide_mm - name_mm, 30))
        for zones, words in row.zones
    )
    left_mm = sum(one.height_mm + LINE_MM for one in facts)
    right_mm = sum(max(name.height_mm, words.height_mm) + LINE_MM for name, words in zones)
    height_mm = max(left_mm, right_mm, BOX_MM) + 2 * PAD_MM
    return _SetRow(fit(row.number, NUMBER, NUMBER_MM - 3, 8), facts, zones, min(height_mm, TALLEST_MM))


def _draw_row(page: Layout, row: SheetRow, words: _SetRow, y_mm: float) -> float:
    ticks_mm, number_mm, facts_mm, zones_mm = _columns(page.width_mm)
    zones_wide_mm = page.width_mm - MARGIN_MM - zones_mm
    top_mm = y_mm + PAD_MM
    for place in range(len(TICKS)):
        page.marks.append(
            Plate(Box(ticks_mm + place * TICK_MM + 1, top_mm, BOX_MM, BOX_MM), 0.0, filled=False)
        )
    page.set(f"number of {row.number}", words.number, Box(number_mm, top_mm + 0.6, NUMBER_MM - 3, 8))
    below_mm = top_mm
    for one in words.facts:
        below_mm = (
            page.set(f"facts of {row.number}", one, Box(facts_mm, below_mm, FACTS_MM - 3, 24)) + LINE_MM
        )
    below_mm, name_mm = top_mm, zones_wide_mm * 0.36
    for name, stack in words.zones:
        ends_mm = page.set("zone", name, Box(zones_mm, below_mm, name_mm, 30), grey=GREY_INK)
        ends_mm = max(ends_mm, page.set("coats", stack, Box(zones_mm + name_mm, below_mm, zones_wide_mm, 30)))
        below_mm = ends_mm + LINE_MM
    end_mm = y_mm + words.height_mm
    page.marks.append(Rule(MARGIN_MM, end_mm, page.width_mm - MARGIN_MM, end_mm, grey=0.6, width_pt=0.3))
    return end_mm


def _weighed(page: Layout, weighed: Sequence[tuple[str, str]], y_mm: float) -> None:
    inner_mm = page.width_mm - 2 * MARGIN_MM
    y_mm = (
        page.set(
            "head", fit("To weigh for the mixes", STRONG, inner_mm, 6), Box(MARGIN_MM, y_mm, inner_mm, 6)
        )
        + 2
    )
    for name, masses in weighed:
        page.marks.append(Plate(Box(MARGIN_MM + 1, y_mm, 4, 4), 0.0, filled=False))
        page.set("mix", fit(name, STRONG, 70, 5), Box(MARGIN_MM + 8, y_mm, 70, 5))
        page.set("masses", fit(masses, BODY, inner_mm - 80, 5), Box(MARGIN_MM + 80, y_mm, inner_mm - 80, 5))
        y_mm += 6


def _foot(page: Layout, facts: SheetFacts, number: int, pages: int) -> None:
    y_mm, inner_mm = page.height_mm - MARGIN_MM - 6, page.width_mm - 2 * MARGIN_MM
    page.set(
        "caution",
        fit(CAUTION, FOOT, inner_mm - 40, 4),
        Box(MARGIN_MM, y_mm, 0, 4),
        grey=GREY_INK,
    )
    words = f"{facts.studio}  {number} of {pages}".strip()
    page.set(
        "page",
        fit(words, FOOT, 40, 4),
        Box(MARGIN_MM + inner_mm - 40, y_mm, 40, 4),
        align="right",
    )

"""A board's map as marks on one page, turned so that its slots come out larger."""

from dataclasses import dataclass

from tiles.prints import codes
from tiles.prints.cards import HAIRLINE_GREY
from tiles.prints.fit import Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.hanging import FOOT, LEAD, MARGIN_MM, TITLE
from tiles.prints.marks import BLACK, GREY_INK, Layout, Plate
from tiles.prints.papers import SHEET_PAPERS
from tiles.prints.stock import A4, Box

CODE_MM = 22.0
HEAD_MM = 23.0
FOOT_MM = 6.0
COLUMN_WORDS_MM = 6.5
ROW_WORDS_MM = 24.0
ROW_COUNT_MM = 6.0
PAD_MM = 0.9
# Room on the wall around each tile, for the hook and the fingers.
WALL_GAP_MM = 12.0
# Below this a slot holds no number that one reads at arm's length.
LEAST_SLOT_MM = 11.0

LEVEL = Type(Typeface.BOLD, 9, 5.5)
NUMBER = Type(Typeface.BOLD, 12, 6)
SAID = Type(Typeface.NARROW, 10, 5, 1.15)


@dataclass(frozen=True, slots=True)
class SlotFacts:
    """A slot: the number, stack and conditions of its tile with the tile's own size [mm], or what is wanted."""

    number: str = ""
    stack: str = ""
    conditions: str = ""
    width_mm: int = 0
    height_mm: int = 0
    wanted: str = ""


@dataclass(frozen=True, slots=True)
class MapFacts:
    """All that stands on a board's map; `columns` and `rows` are the words that head them, or nothing."""

    title: str
    lead: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[SlotFacts, ...]], ...]
    address: str
    studio: str = ""
    to_scale: bool = False


def lay_out(facts: MapFacts, paper: str = "A4") -> Layout:
    """The page, upright or across."""
    width_mm, height_mm = SHEET_PAPERS.get(paper, A4)
    sizes = ((height_mm, width_mm), (width_mm, height_mm))
    return _laid_out(facts, *max(sizes, key=lambda size: _worth(facts, *size)))


def _worth(facts: MapFacts, width_mm: float, height_mm: float) -> float:
    if facts.to_scale:
        return _scale(facts, width_mm, height_mm)
    slot = _slot_mm(facts, width_mm, height_mm)
    return min(slot[0], 1.6 * slot[1])


def _left_mm(facts: MapFacts) -> float:
    return ROW_WORDS_MM if any(words for words, _ in facts.rows) else ROW_COUNT_MM


def _room_mm(facts: MapFacts, width_mm: float, height_mm: float) -> tuple[float, float]:
    """What is left of a page for the slots."""
    return (
        width_mm - 2 * MARGIN_MM - _left_mm(facts),
        height_mm - 2 * MARGIN_MM - HEAD_MM - COLUMN_WORDS_MM - FOOT_MM,
    )


def _wall_mm(facts: MapFacts) -> tuple[float, float]:
    """A slot on the wall: the largest tile that hangs there and room around it."""
    slots = [slot for _, row in facts.rows for slot in row]
    return (
        max((slot.width_mm for slot in slots), default=0) + WALL_GAP_MM,
        max((slot.height_mm for slot in slots), default=0) + WALL_GAP_MM,
    )


def _scale(facts: MapFacts, width_mm: float, height_mm: float) -> float:
    """Millimetres on paper for one on the wall, at most 1."""
    across_mm, down_mm = _room_mm(facts, width_mm, height_mm)
    wall_across_mm, wall_down_mm = _wall_mm(facts)
    fits = min(
        across_mm / (wall_across_mm * max(len(facts.columns), 1)),
        down_mm / (wall_down_mm * max(len(facts.rows), 1)),
    )
    return min(fits, 1.0)


def _slot_mm(facts: MapFacts, width_mm: float, height_mm: float) -> tuple[float, float]:
    """Width and height of a slot on the page."""
    if facts.to_scale:
        scale = _scale(facts, width_mm, height_mm)
        across_mm, down_mm = _wall_mm(facts)
        return across_mm * scale, down_mm * scale
    across_mm, down_mm = _room_mm(facts, width_mm, height_mm)
    slot_mm = across_mm / max(len(facts.columns), 1)
    return slot_mm, min(down_mm / max(len(facts.rows), 1), 1.3 * slot_mm)


def _laid_out(facts: MapFacts, width_mm: float, height_mm: float) -> Layout:
    layout = Layout(facts.title, width_mm, height_mm)
    slot_mm, down_mm = _slot_mm(facts, width_mm, height_mm)
    _head(layout, facts)
    _foot(layout, facts)
    left_mm, top_mm = MARGIN_MM + _left_mm(facts), MARGIN_MM + HEAD_MM + COLUMN_WORDS_MM
    for place, words in enumerate(facts.columns):
        box = Box(left_mm + place * slot_mm, top_mm - COLUMN_WORDS_MM, slot_mm - 1, COLUMN_WORDS_MM - 0.5)
        layout.set("column", fit(words or str(place + 1), LEVEL, box.width_mm, box.height_mm), box)
    for row, (words, slots) in enumerate(facts.rows):
        y_mm = top_mm + row * down_mm
        box = Box(MARGIN_MM, y_mm + PAD_MM, _left_mm(facts) - 1.5, down_mm - PAD_MM)
        layout.set("row", flow(words or str(row + 1), LEVEL, box.width_mm, box.height_mm), box)
        for column, slot in enumerate(slots):
            _slot(layout, facts, slot, Box(left_mm + column * slot_mm, y_mm, slot_mm, down_mm))
    if min(slot_mm, down_mm) < LEAST_SLOT_MM:
        layout.warnings.append(
            f"So many slots leave {min(slot_mm, down_mm):.0f} mm for each. Print the map on larger paper."
        )
    return layout


def _head(layout: Layout, facts: MapFacts) -> None:
    inner_mm = layout.width_mm - 2 * MARGIN_MM - CODE_MM - 4
    y_mm = layout.set("title", fit(facts.title, TITLE, inner_mm, 11), Box(MARGIN_MM, MARGIN_MM, inner_mm, 11))
    lead = facts.lead
    if facts.to_scale:
        lead = f"{lead} · scale 1 : {1 / _scale(facts, layout.width_mm, layout.height_mm):.1f}"
    box = Box(MARGIN_MM, y_mm + 0.8, inner_mm, MARGIN_MM + HEAD_MM - y_mm - 2)
    layout.set("lead", flow(lead, LEAD, inner_mm, box.height_mm), box, grey=GREY_INK)
    quiet_mm = codes.QUIET_MODULES * codes.module_mm(facts.address, CODE_MM)
    right_mm = layout.width_mm - MARGIN_MM + quiet_mm
    layout.code(facts.address, Box(right_mm - CODE_MM, MARGIN_MM - quiet_mm, CODE_MM, CODE_MM))


def _foot(layout: Layout, facts: MapFacts) -> None:
    inner_mm = layout.width_mm - 2 * MARGIN_MM
    box = Box(MARGIN_MM, layout.height_mm - MARGIN_MM - FOOT_MM + 1.5, inner_mm, FOOT_MM - 1.5)
    layout.set("foot", fit(facts.studio, FOOT, inner_mm, box.height_mm), box, grey=GREY_INK)


def _slot(layout: Layout, facts: MapFacts, slot: SlotFacts, place: Box) -> None:
    """A slot's frame, and in it its tile or what is wanted."""
    layout.marks.append(Plate(place, HAIRLINE_GREY, filled=False))
    if slot.number and facts.to_scale:
        wall_mm, _ = _wall_mm(facts)
        scale = place.width_mm / wall_mm
        across_mm, down_mm = slot.width_mm * scale, slot.height_mm * scale
        place = Box(
            place.x_mm + (place.width_mm - across_mm) / 2,
            place.y_mm + (place.height_mm - down_mm) / 2,
            across_mm,
            down_mm,
        )
        layout.marks.append(Plate(place, BLACK, filled=False))
    inner = place.inset(PAD_MM)
    if slot.number:
        y_mm = layout.set(
            "number", fit(slot.number, NUMBER, inner.width_mm, min(6.0, inner.height_mm)), inner
        )
        words = f"{slot.stack} · {slot.conditions}" if slot.stack else slot.conditions
        rest = Box(inner.x_mm, y_mm + 0.3, inner.width_mm, inner.bottom_mm - y_mm - 0.3)
        layout.set("words", flow(words, SAID, rest.width_mm, rest.height_mm), rest)
    elif slot.wanted:
        wanted = flow(f"wanted: {slot.wanted}", SAID, inner.width_mm, inner.height_mm)
        layout.set("wanted", wanted, inner, grey=GREY_INK)

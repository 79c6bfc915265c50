"""Tile cards for a studio wall: several to a page with cut marks, the same size on A4 and on Letter."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tiles.prints import codes, fonts
from tiles.prints.fit import PT_PER_MM, Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.marks import GREY_INK, Layout, Note, Picture, Plate, Rule
from tiles.prints.paper import Page, Paper, Printed, print_pages
from tiles.prints.rows import Cell, Row, paragraph, set_rows
from tiles.prints.stock import A4, LETTER, TRUE_PRINTER, Box, Calibration, Stock, centred

CAUTION = "A fired example. Your kiln, clay and coats will differ. No claim about food use."
NO_REFERENCE = "Printed patches are no colour reference; L*a*b* is under D50."
PAPERS = {"A4": A4, "Letter": LETTER}

# Photographs are judged on a neutral mid grey (ISO 3664 practice), here the same as around them on the screen.
SURROUND_GREY = 118 / 255
PHOTO_MARGIN_MM = 2.0
HAIRLINE_GREY = 0.6
FLOOR_PT = 5.5
CUT_MARK_MM = 4.0
CUT_MARK_GAP_MM = 1.5


@dataclass(frozen=True, slots=True)
class ZoneWords:
    """One zone after one firing: its name, its stack, how it was judged (empty while it is not), its measured colour.

    `colour` is the patch, such as #8a4b2f, and `colour_words` what it stands for; both empty where none was measured.
    """

    zone: str
    stack: str
    judged: str = ""
    colour: str = ""
    colour_words: str = ""


@dataclass(frozen=True, slots=True)
class FiringWords:
    """One firing of the tile: a heading, its conditions line word for word, and its zones."""

    heading: str
    conditions: str
    zones: tuple[ZoneWords, ...]


@dataclass(frozen=True, slots=True)
class CardFacts:
    """What one card says. All words as they are to be read; `address` is the studio's, for the code."""

    number: str
    body: str
    form: str
    firings: tuple[FiringWords, ...]
    address: str
    photo: Path | None = None
    studio: str = ""
    where: str = ""

    @property
    def has_colour(self) -> bool:
        return any(zone.colour for firing in self.firings for zone in firing.zones)


@dataclass(frozen=True, slots=True)
class CardSize:
    """A card's measures [mm]: where the photograph and the words lie, and how large number, words and code are.

    `photo_gives_mm` is how much narrower and lower the photograph may become where words need the room.
    """

    name: str
    width_mm: float
    height_mm: float
    columns: int
    rows: int
    photo: Box
    words: Box
    number_pt: float
    words_pt: float
    code_mm: float
    photo_gives_mm: tuple[float, float] = (0, 0)

    def with_more_words(self) -> "CardSize":
        """The same card with a smaller photograph: narrower, or lower, by what it can give."""
        across, down = self.photo_gives_mm
        photo, words = self.photo, self.words
        return replace(
            self,
            photo=Box(photo.x_mm, photo.y_mm, photo.width_mm - across, photo.height_mm - down),
            words=Box(
                words.x_mm - across, words.y_mm - down, words.width_mm + across, words.height_mm + down
            ),
        )


SIZES = {
    "large": CardSize(
        "2 to a page, 190 × 130 mm",
        190,
        130,
        1,
        2,
        Box(5, 5, 90, 120),
        Box(102, 5, 83, 120),
        42,
        11,
        28,
        (20, 0),
    ),
    "medium": CardSize(
        "4 to a page, 95 × 130 mm",
        95,
        130,
        2,
        2,
        Box(5, 5, 85, 56),
        Box(5, 64.5, 85, 60.5),
        32,
        8.5,
        22,
        (0, 20),
    ),
    "small": CardSize(
        "6 to a page, 95 × 86 mm", 95, 86, 2, 3, Box(4, 4, 38, 78), Box(45, 4, 46, 78), 20, 7.5, 16, (7, 0)
    ),
}


@dataclass(frozen=True, slots=True)
class CardJob:
    """How cards are to be printed: size by name, paper by name."""

    size: str = "medium"
    paper: str = "A4"
    title: str = "Tile cards"
    studio: str = ""
    calibration: Calibration = TRUE_PRINTER


def print_cards(facts: Sequence[CardFacts], job: CardJob) -> Printed:
    """Cards on as many pages as they take, with marks in the margin where to cut."""
    return print_pages(pages_of(facts, job), title=job.title, author=job.studio, calibration=job.calibration)


def pages_of(facts: Sequence[CardFacts], job: CardJob) -> list[Page]:
    """The pages the cards take; each card is laid out when its page is drawn, or noted on."""
    size, sheet = SIZES[job.size], sheet_of(job)
    return [
        _page(facts[first : first + sheet.labels_per_sheet], size, sheet)
        for first in range(0, len(facts), sheet.labels_per_sheet)
    ]


def _page(facts: Sequence[CardFacts], size: CardSize, sheet: Stock) -> Page:
    whole = Box(0, 0, sheet.sheet_width_mm, sheet.sheet_height_mm)

    def draw(paper: Paper) -> None:
        paper.draw_again(f"cut marks {sheet}", _cut_marks(sheet), whole)
        for index, card in enumerate(facts):
            paper.draw(lay_out(card, size), sheet.cell(index))

    return Page(sheet.sheet_width_mm, sheet.sheet_height_mm, draw)


def notes_on(facts: Sequence[CardFacts], job: CardJob) -> list[Note]:
    """What is to be said before printing: words without room, letters without glyph, codes too fine."""
    return [note for card in facts for note in lay_out(card, SIZES[job.size]).notes]


def sheet_of(job: CardJob) -> Stock:
    """The page as a sheet of cards that touch each other, in the middle of the paper."""
    size = SIZES[job.size]
    card = (size.width_mm, size.height_mm)
    return centred(size.name, PAPERS[job.paper], (size.columns, size.rows), card, card)


def lay_out(facts: CardFacts, size: CardSize) -> Layout:
    """One card: photograph, number and code, what lies on which zone, how it was fired, how it came out.

    Where not all words find room beside the whole photograph, the photograph is set smaller.
    """
    layout = _laid_out(facts, size)
    return _laid_out(facts, size.with_more_words()) if layout.left_out else layout


def _laid_out(facts: CardFacts, size: CardSize) -> Layout:
    layout = Layout(facts.number, size.width_mm, size.height_mm)
    _set_photo(layout, facts, size.photo)
    top_mm, bottom_mm = _set_head(layout, facts, size), _set_foot(layout, facts, size)
    room = Box(size.words.x_mm, top_mm, size.words.width_mm, bottom_mm - top_mm)
    set_rows(layout, lambda scale: list(_rows(facts, size, scale)), room)
    return layout


def _set_photo(layout: Layout, facts: CardFacts, place: Box) -> None:
    if facts.photo:
        layout.marks.append(Plate(place, SURROUND_GREY))
        layout.marks.append(Picture(facts.photo, place.inset(PHOTO_MARGIN_MM)))
        return
    layout.marks.append(Plate(place, HAIRLINE_GREY, filled=False))
    words = fit("No photo yet", Type(Typeface.TEXT, 8, 6), place.width_mm, place.height_mm)
    middle = Box(place.x_mm, place.y_mm + place.height_mm / 2 - 2, place.width_mm, 6)
    layout.set("photograph", words, middle, grey=GREY_INK, align="centre")


def _set_head(layout: Layout, facts: CardFacts, size: CardSize) -> float:
    """Number and body at the left, the code at the right; returns where the words may go on [mm]."""
    words, content = size.words, codes.tile_address(facts.address, facts.number)
    quiet_mm = codes.QUIET_MODULES * codes.module_mm(content, size.code_mm)
    code = Box(words.right_mm + quiet_mm - size.code_mm, words.y_mm - quiet_mm, size.code_mm, size.code_mm)
    layout.code(content, code)
    left_mm = words.width_mm - size.code_mm + quiet_mm
    number = fit(facts.number, Type(Typeface.BOLD, size.number_pt, 12, 1.0), left_mm, words.height_mm)
    above_caps_mm = (fonts.ASCENT - fonts.CAP_HEIGHT) * number.size_pt / PT_PER_MM
    top = Box(words.x_mm, words.y_mm - above_caps_mm, left_mm, words.height_mm)
    y_mm = layout.set("number", number, top)
    code_end_mm = code.bottom_mm - quiet_mm
    body = Type(Typeface.BOLD, size.words_pt * 1.15, 6.5, 1.15)
    form = Type(Typeface.TEXT, size.words_pt * 0.88, FLOOR_PT, 1.2)
    rows = [
        paragraph("clay body", facts.body, body, left_mm),
        paragraph("form", facts.form, form, left_mm, gap_mm=0.4, grey=GREY_INK),
    ]
    if facts.where:
        rows.append(paragraph("place", facts.where, form, left_mm, gap_mm=0.4, grey=GREY_INK))
    y_mm += 0.05 * number.size_pt / PT_PER_MM
    end_mm = set_rows(
        layout, lambda scale: rows, Box(words.x_mm, y_mm, left_mm, max(9.5, code_end_mm - y_mm))
    )
    return max(end_mm, code_end_mm) + 0.4 * size.words_pt / PT_PER_MM + 1.0


def _rows(facts: CardFacts, size: CardSize, scale: float) -> Iterator[Row]:
    """Each firing: its zones with stack and judgement in columns, then the conditions line."""
    width_mm, em_mm = size.words.width_mm, size.words_pt / PT_PER_MM
    heading = Type(Typeface.NARROW_BOLD, size.words_pt, FLOOR_PT)
    line = Type(Typeface.NARROW, size.words_pt, FLOOR_PT, 1.2)
    columns = _columns(facts, size.words.width_mm, max(FLOOR_PT, size.words_pt * scale))
    for index, firing in enumerate(facts.firings):
        if firing.heading:
            yield paragraph("heading", firing.heading, heading, width_mm, gap_mm=1.0 * em_mm if index else 0)
        for place, zone in enumerate(firing.zones):
            yield _zone_row(zone, columns, size, gap_mm=(0.12 if place else 0.28) * em_mm)
            if zone.colour:
                yield _colour_row(zone, columns, size)
        if firing.conditions:
            yield paragraph(
                "conditions line", firing.conditions, line, width_mm, gap_mm=0.45 * em_mm, grey=GREY_INK
            )


def _zone_row(zone: ZoneWords, columns: tuple[float, float, float], size: CardSize, gap_mm: float) -> Row:
    name_mm, stack_mm, judged_mm = columns
    plain = Type(Typeface.NARROW, size.words_pt, FLOOR_PT, 1.15)
    strong = Type(Typeface.NARROW_BOLD, size.words_pt, FLOOR_PT, 1.15)
    cells = [
        Cell("zone", zone.zone, plain, 0, name_mm, GREY_INK),
        Cell("stack", zone.stack, strong, name_mm, stack_mm),
        Cell("judgement", zone.judged, plain, name_mm + stack_mm, judged_mm),
    ]
    return Row(tuple(cell for cell in cells if cell.text), gap_mm)


def _colour_row(zone: ZoneWords, columns: tuple[float, float, float], size: CardSize) -> Row:
    """The measured colour under its zone: a patch, and what it stands for."""
    name_mm, stack_mm, judged_mm = columns
    plain = Type(Typeface.NARROW, size.words_pt, FLOOR_PT, 1.15)
    words = Cell(
        "colour", zone.colour_words, plain, name_mm, stack_mm + judged_mm, GREY_INK, patch=zone.colour
    )
    return Row((words,), 0.18 * size.words_pt / PT_PER_MM)


def _columns(facts: CardFacts, total_mm: float, size_pt: float) -> tuple[float, float, float]:
    """Widths of zone, stack and judgement, white at their right included: no wider than their words need."""
    zones = [zone for firing in facts.firings for zone in firing.zones]
    gutter_mm = 0.9 * size_pt / PT_PER_MM

    def needed_mm(words: list[str], typeface: Typeface) -> float:
        widest_pt = max(
            (fonts.width_pt(fonts.printable(word), typeface, size_pt) for word in words), default=0
        )
        return widest_pt / PT_PER_MM + gutter_mm

    name_mm = min(needed_mm([zone.zone for zone in zones], Typeface.NARROW), 0.25 * total_mm)
    judged_share = 0.45 if any(zone.judged for zone in zones) else 0.0
    stack_mm = min(
        needed_mm([zone.stack for zone in zones], Typeface.NARROW_BOLD),
        (1 - judged_share) * total_mm - name_mm,
    )
    return name_mm, stack_mm, max(total_mm - name_mm - stack_mm, 1.0)


def _set_foot(layout: Layout, facts: CardFacts, size: CardSize) -> float:
    """The caution and the studio's name at the foot; returns where the words above must end [mm]."""
    words, points = size.words, max(5.2, min(6.5, 0.72 * size.words_pt))
    said = f"{CAUTION} {NO_REFERENCE}" if facts.has_colour else CAUTION
    caution = flow(said, Type(Typeface.NARROW, points, 5.0, 1.15), words.width_mm, 8)
    studio = fit(facts.studio, Type(Typeface.NARROW_BOLD, points, 4.5, 1.15), words.width_mm, 5)
    beside = len(caution.lines) == 1 and caution.width_mm + studio.width_mm + 3 <= words.width_mm
    height_mm = caution.height_mm + (0 if beside else studio.height_mm)
    y_mm = words.bottom_mm - height_mm
    layout.marks.append(Rule(words.x_mm, y_mm - 0.8, words.right_mm, y_mm - 0.8, HAIRLINE_GREY, 0.3))
    layout.set(
        "studio’s name", studio, Box(words.x_mm, y_mm, words.width_mm, 5), align="right" if beside else "left"
    )
    y_mm += 0 if beside else studio.height_mm
    layout.set("caution", caution, Box(words.x_mm, y_mm, words.width_mm, 8), grey=GREY_INK)
    return words.bottom_mm - height_mm - 1.6


def _cut_marks(sheet: Stock) -> Layout:
    """Short lines in the margins where a straight cut runs, clear of the cards."""
    layout = Layout("", sheet.sheet_width_mm, sheet.sheet_height_mm)
    first, last = sheet.cell(0), sheet.cell(sheet.labels_per_sheet - 1)
    left, top, right, bottom = first.x_mm, first.y_mm, last.right_mm, last.bottom_mm
    near, far = CUT_MARK_GAP_MM, CUT_MARK_GAP_MM + CUT_MARK_MM
    for column in range(sheet.columns + 1):
        x = left + column * sheet.pitch_x_mm
        layout.marks += [Rule(x, top - far, x, top - near), Rule(x, bottom + near, x, bottom + far)]
    for row in range(sheet.rows + 1):
        y = top + row * sheet.pitch_y_mm
        layout.marks += [Rule(left - far, y, left - near, y), Rule(right + near, y, right + far, y)]
    return layout

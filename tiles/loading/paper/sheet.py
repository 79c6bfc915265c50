"""The load sheet: one page a shelf, drawn to scale from above, the list beside it, what to mind below."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin

from tiles.loading.shelves import ShelfPlan, Spot
from tiles.prints.cards import PAPERS
from tiles.prints.fit import Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.marks import GREY_INK, Layout, Plate, Rule
from tiles.prints.stock import A4, Box
from tiles.prints.working import FOOT, HEAD, LEAD, MARGIN_MM, STRONG, TITLE

FOOT_MM = 9.0
LIST_MM = 62.0
CAUTIONS_MM = 46.0
BODY = Type(Typeface.TEXT, 8.5, 6.5)
# A number on the drawing: smaller than this nobody reads at the kiln, so the list has it alone.
ON_TILE = Type(Typeface.BOLD, 12, 5.5)
NARROWEST_MM = 6.0
# A round shelf is drawn with so many strokes.
STROKES = 90


@dataclass(frozen=True, slots=True)
class SheetTile:
    """One line of the list: its number, what it is, where it stands."""

    number: str
    words: str
    is_runner: bool = False


@dataclass(frozen=True, slots=True)
class SheetShelf:
    """One shelf: its name, the drawing where there is one, the list beside it."""

    title: str
    plan: ShelfPlan | None
    tiles: tuple[SheetTile, ...]


@dataclass(frozen=True, slots=True)
class LoadFacts:
    """All that stands on the sheets of one firing."""

    title: str
    fire: str
    shelves: tuple[SheetShelf, ...]
    cautions: tuple[str, ...] = ()
    studio: str = ""


def sheets(facts: LoadFacts, paper: str = "A4") -> list[Layout]:
    """The sheets, each a layout as large as the paper."""
    width_mm, height_mm = PAPERS.get(paper, A4)
    pages = [page for shelf in facts.shelves for page in _shelf_pages(facts, shelf, width_mm, height_mm)]
    pages = pages or [_page(facts, "Nothing is loaded yet", width_mm, height_mm)[0]]
    _cautions(pages[0], facts)
    for number, page in enumerate(pages, start=1):
        _foot(page, facts, number, len(pages))
    return pages


def _page(facts: LoadFacts, words: str, width_mm: float, height_mm: float) -> tuple[Layout, float]:
    page, inner_mm = Layout(facts.title, width_mm, height_mm), width_mm - 2 * MARGIN_MM
    y_mm = page.set("title", fit(facts.title, TITLE, inner_mm, 9), Box(MARGIN_MM, MARGIN_MM, inner_mm, 9)) + 1
    y_mm = page.set(
        "fire", fit(facts.fire, LEAD, inner_mm, 6), Box(MARGIN_MM, y_mm, inner_mm, 6), grey=GREY_INK
    )
    page.marks.append(Rule(MARGIN_MM, y_mm + 2, width_mm - MARGIN_MM, y_mm + 2, width_pt=0.8))
    return page, page.set("shelf", fit(words, HEAD, inner_mm, 7), Box(MARGIN_MM, y_mm + 4, inner_mm, 7)) + 3


def _shelf_pages(facts: LoadFacts, shelf: SheetShelf, width_mm: float, height_mm: float) -> Iterator[Layout]:
    page, y_mm = _page(facts, shelf.title, width_mm, height_mm)
    floor_mm = height_mm - MARGIN_MM - FOOT_MM - CAUTIONS_MM
    if shelf.plan:
        drawing = Box(MARGIN_MM, y_mm, width_mm - 2 * MARGIN_MM - LIST_MM - 5, floor_mm - y_mm)
        draw_shelf(page, shelf.plan, drawing)
    list_mm = MARGIN_MM if not shelf.plan else width_mm - MARGIN_MM - LIST_MM
    list_wide_mm = LIST_MM if shelf.plan else width_mm - 2 * MARGIN_MM
    top_mm = y_mm
    for tile in shelf.tiles:
        words = flow(tile.words, BODY, list_wide_mm - 29, 30)
        taken_mm = max(words.height_mm, 4.6) + 1.6
        if y_mm + taken_mm > floor_mm and y_mm > top_mm:
            yield page
            page, y_mm = _page(facts, f"{shelf.title}, continued", width_mm, height_mm)
            list_mm, list_wide_mm, top_mm = MARGIN_MM, width_mm - 2 * MARGIN_MM, y_mm
            words = flow(tile.words, BODY, list_wide_mm - 29, 30)
            taken_mm = max(words.height_mm, 4.6) + 1.6
        page.marks.append(Plate(Box(list_mm, y_mm + 0.4, 3.4, 3.4), 0.0, filled=False))
        mark = f"{tile.number} ▲" if tile.is_runner else tile.number
        page.set("number", fit(mark, STRONG, 23, 5), Box(list_mm + 5, y_mm, 23, 5))
        page.set(f"words of {tile.number}", words, Box(list_mm + 29, y_mm + 0.3, list_wide_mm - 29, 30))
        y_mm += taken_mm
    yield page


def draw_shelf(page: Layout, plan: ShelfPlan, room: Box) -> tuple[float, list[str]]:
    """The shelf as large as fits, and its scale in words; where it ends [mm], and what has no number on it."""
    scale = min(room.width_mm / plan.room.width_mm, (room.height_mm - 12) / plan.room.depth_mm)
    left_mm, top_mm = room.x_mm, room.y_mm + 5
    wide_mm, deep_mm = plan.room.width_mm * scale, plan.room.depth_mm * scale
    page.set(
        "side",
        fit("back", FOOT, wide_mm, 4),
        Box(left_mm, room.y_mm, wide_mm, 4),
        grey=GREY_INK,
        align="centre",
    )
    if plan.room.is_round:
        _circle(page, left_mm + wide_mm / 2, top_mm + deep_mm / 2, wide_mm / 2)
    else:
        page.marks.append(Plate(Box(left_mm, top_mm, wide_mm, deep_mm), 0.35, filled=False))
    bare = [spot.seen.label for spot in plan.spots if not _piece(page, spot, left_mm, top_mm, scale)]
    sizes = (
        f"{plan.room.width_mm} mm across"
        if plan.room.is_round
        else f"{plan.room.width_mm} × {plan.room.depth_mm} mm"
    )
    measured = "" if plan.is_measured else " taken, as nobody measured it"
    words = f"front · shelf {sizes}{measured}, drawn 1 : {1 / scale:.1f}"
    page.set(
        "scale",
        fit(words, FOOT, wide_mm, 4),
        Box(left_mm, top_mm + deep_mm + 1.5, wide_mm, 4),
        grey=GREY_INK,
        align="centre",
    )
    if plan.undrawn:
        page.warnings.append(f"{', '.join(plan.undrawn)}: no room in the drawing; in the list only.")
    return top_mm + deep_mm + 5.5, [*bare, *plan.undrawn]


def _circle(page: Layout, x_mm: float, y_mm: float, radius_mm: float) -> None:
    points = [
        (x_mm + radius_mm * cos(2 * pi * turn / STROKES), y_mm + radius_mm * sin(2 * pi * turn / STROKES))
        for turn in range(STROKES + 1)
    ]
    page.marks += [Rule(*one, *other, grey=0.35) for one, other in pairwise(points)]


def _piece(page: Layout, spot: Spot, left_mm: float, top_mm: float, scale: float) -> bool:
    """The tile, on its cookie where it has one; False where it is too small for its number."""
    standing, piece = spot.standing, spot.standing.piece
    if piece.runs:
        box = standing.box
        cookie = Box(left_mm + box.x * scale, top_mm + box.y * scale, box.width * scale, box.depth * scale)
        page.marks.append(Plate(cookie, 0.55, filled=False))
    tile = Box(
        left_mm + standing.x_mm * scale,
        top_mm + standing.y_mm * scale,
        piece.width_mm * scale,
        piece.depth_mm * scale,
    )
    page.marks.append(Plate(tile, 0.93 if not spot.seen.is_cones else 0.8))
    page.marks.append(Plate(tile, 0.0, filled=False))
    words = fit(spot.seen.label, ON_TILE, tile.width_mm - 1, tile.height_mm)
    if words.overflow:
        if tile.width_mm < NARROWEST_MM:
            return False
        words = flow(spot.seen.label, FOOT, tile.width_mm - 1, tile.height_mm)
    y_mm = tile.y_mm + max(0.0, (tile.height_mm - words.height_mm) / 2)
    page.set(
        f"number on {spot.seen.label}",
        words,
        Box(tile.x_mm + 0.5, y_mm, tile.width_mm - 1, tile.height_mm),
        align="centre",
    )
    return True


def _cautions(page: Layout, facts: LoadFacts) -> None:
    """What to mind, under the first shelf."""
    inner_mm = page.width_mm - 2 * MARGIN_MM
    y_mm = page.height_mm - MARGIN_MM - FOOT_MM - CAUTIONS_MM + 3
    floor_mm = page.height_mm - MARGIN_MM - FOOT_MM
    for words in facts.cautions:
        y_mm = (
            page.set(
                "caution",
                flow(words, BODY, inner_mm, max(0.0, floor_mm - y_mm)),
                Box(MARGIN_MM, y_mm, inner_mm, 40),
            )
            + 1.2
        )


def _foot(page: Layout, facts: LoadFacts, number: int, pages: int) -> None:
    y_mm, inner_mm = page.height_mm - MARGIN_MM - 5, page.width_mm - 2 * MARGIN_MM
    legend = "▲ on a cookie, the grey frame. Places: from the left / from the back, mm. No paper in the kiln."
    page.set("legend", fit(legend, FOOT, inner_mm - 45, 4), Box(MARGIN_MM, y_mm, 0, 4), grey=GREY_INK)
    words = f"{facts.studio}  {number} of {pages}".strip()
    page.set(
        "page",
        fit(words, FOOT, 45, 4),
        Box(MARGIN_MM + inner_mm - 45, y_mm, 45, 4),
        grey=GREY_INK,
        align="right",
    )


def spot_words(spot: Spot | None, place: str) -> str:
    """Where a tile stands: from the left / from the back in mm where that is known, else as it was noted."""
    if spot and spot.is_exact:
        return f"{place} {spot.standing.x_mm} / {spot.standing.y_mm}"
    return place


def shelf_order(tiles: Sequence[tuple[tuple[int, int], SheetTile]]) -> tuple[SheetTile, ...]:
    """Back row first, from the left, as one loads."""
    return tuple(tile for _, tile in sorted(tiles, key=lambda pair: pair[0]))

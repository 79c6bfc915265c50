"""The photo mat: a sheet a tile is photographed on, so that a photo knows its scale, its light and where things lie.

Printed in black and grey on white paper alone: the white tells how even the light is. A printed patch is never a colour
reference, since no one knows what the printer did; a real chart or grey card is laid in its place.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from tiles.photos.mat_sheet import CORNERS, QUIET_MODULES, SQUARE_MM, MatSheet
from tiles.prints.fit import Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.marks import GREY_INK, Layout, Plate, Rule, strokes
from tiles.prints.paper import Page, Printed, laid_page, print_pages
from tiles.prints.stock import TRUE_PRINTER, Box, Calibration

TITLE = Type(Typeface.BOLD, 13, 9)
SMALL = Type(Typeface.TEXT, 8, 6)
FIGURE = Type(Typeface.TEXT, 6.5, 6)
LINE_GREY = 0.55
MARK_ARM_MM, MARK_PT = 9.0, 1.6
# Lengths of the ruler's strokes at every millimetre, five and ten.
STROKES_MM = (1.6, 2.6, 3.6)

NOTES = (
    "Print at 100 %: the square must measure 50.0 mm. Lay the tile’s upper left corner in the mark, its label in the "
    "square, a colour chart or grey card in its place.",
    "Printed patches and greys are no colour reference: lay down a real chart or card.",
    "Paper burns: only tiles that are cool to the hand. Keep it flat and clean; print a new one when it is stained.",
)


@dataclass(frozen=True, slots=True)
class Outline:
    """The tile the mat is printed for: its form's name and its face [mm]."""

    name: str
    width_mm: float
    height_mm: float


def largest_that_fits(outlines: list[Outline], sheet: MatSheet) -> Outline | None:
    """The form with the largest face that has room on the sheet."""
    fits = [outline for outline in outlines if sheet.holds(outline.width_mm, outline.height_mm)]
    return max(fits, key=lambda outline: outline.width_mm * outline.height_mm, default=None)


def no_room(sheet: MatSheet, outline: Outline) -> str:
    """Why a tile does not go on a sheet and what to do, or nothing."""
    if sheet.holds(outline.width_mm, outline.height_mm):
        return ""
    field = sheet.tile_field
    return (
        f"{outline.name} is {outline.width_mm:g} × {outline.height_mm:g} mm, and {sheet.name} has room for "
        f"{field.width_mm:.0f} × {field.height_mm:.0f} mm. Take a larger sheet."
    )


def print_mat(
    sheet: MatSheet, outline: Outline | None = None, calibration: Calibration = TRUE_PRINTER
) -> Printed:
    """The mat as a PDF of one page."""
    return print_pages([page_of(sheet, outline)], title=f"Photo mat, {sheet.name}", calibration=calibration)


def page_of(sheet: MatSheet, outline: Outline | None = None) -> Page:
    """The mat's page. Raises ValueError where the tile has no room on it."""
    return laid_page(lay_out(sheet, outline))


def lay_out(sheet: MatSheet, outline: Outline | None = None) -> Layout:
    """All marks of the mat.

    Raises
    ------
    ValueError : the tile has no room on this sheet
    """
    layout = Layout(f"Photo mat, {sheet.name}", sheet.width_mm, sheet.height_mm)
    for corner in CORNERS:
        layout.code(sheet.content(corner), sheet.code(corner).inset(-QUIET_MODULES * sheet.module_mm))
    _set_words(layout, sheet)
    _draw_tile_place(layout, sheet, outline)
    _draw_places(layout, sheet)
    layout.marks += _ruler_down(sheet.ruler_down)
    layout.marks += _ruler_across(sheet.ruler_across)
    _number_rulers(layout, sheet)
    return layout


def _set_words(layout: Layout, sheet: MatSheet) -> None:
    box = sheet.words
    below_mm = layout.set(
        "title", fit(f"Photo mat · {sheet.name}", TITLE, box.width_mm, 6), box, align="centre"
    )
    for note in NOTES:
        below_mm += 0.9
        room = Box(box.x_mm, below_mm, box.width_mm, box.bottom_mm - below_mm)
        below_mm = layout.set("note", flow(note, SMALL, room.width_mm, room.height_mm), room)


def _draw_tile_place(layout: Layout, sheet: MatSheet, outline: Outline | None) -> None:
    """The corner mark that every tile lies in, and the outline of one form."""
    x_mm, y_mm = sheet.tile_mark
    layout.marks += [
        Rule(x_mm, y_mm, x_mm + MARK_ARM_MM, y_mm, width_pt=MARK_PT),
        Rule(x_mm, y_mm, x_mm, y_mm + MARK_ARM_MM, width_pt=MARK_PT),
    ]
    words = "Tile: upper left corner in the mark"
    if outline is not None:
        if trouble := no_room(sheet, outline):
            raise ValueError(trouble)
        layout.marks.append(
            Plate(Box(x_mm, y_mm, outline.width_mm, outline.height_mm), LINE_GREY, filled=False)
        )
        words = (
            f"{outline.name}, {outline.width_mm:g} × {outline.height_mm:g} mm: upper left corner in the mark"
        )
    width_mm = outline.width_mm if outline else sheet.tile_field.width_mm
    _say(layout, words, Box(x_mm, y_mm, width_mm, 30), inset_mm=3)


def _draw_places(layout: Layout, sheet: MatSheet) -> None:
    for place in (sheet.square, sheet.grey_card, sheet.chart):
        layout.marks.append(Plate(place, 0.0 if place is sheet.square else LINE_GREY, filled=False))
    _say(
        layout,
        f"Exactly {SQUARE_MM:g} mm each way when printed true. The tile’s label goes in here.",
        sheet.square,
    )
    _say(layout, "Grey card", sheet.grey_card)
    _say(layout, "24-patch colour chart", sheet.chart)


def _say(layout: Layout, words: str, place: Box, inset_mm: float = 1.5) -> None:
    """Small grey words at the top of a place, where what lies on them covers them."""
    room = place.inset(inset_mm)
    layout.set(words, flow(words, SMALL, room.width_mm, room.height_mm), room, grey=GREY_INK)


def _ruler_down(box: Box) -> Iterator[Rule]:
    for at_mm, stroke_mm in strokes(box.height_mm, STROKES_MM):
        y_mm = box.y_mm + at_mm
        yield Rule(box.x_mm, y_mm, box.x_mm + stroke_mm, y_mm, width_pt=0.5)


def _ruler_across(box: Box) -> Iterator[Rule]:
    for at_mm, stroke_mm in strokes(box.width_mm, STROKES_MM):
        x_mm = box.x_mm + at_mm
        yield Rule(x_mm, box.y_mm, x_mm, box.y_mm + stroke_mm, width_pt=0.5)


def _number_rulers(layout: Layout, sheet: MatSheet) -> None:
    """A figure at every centimetre; the last one has its unit."""
    down, across = sheet.ruler_down, sheet.ruler_across
    for at_mm in range(0, round(down.height_mm) + 1, 10):
        words = fit(f"{at_mm}", FIGURE, 6, 4)
        layout.set("ruler", words, Box(down.x_mm + 3.9, down.y_mm + at_mm - words.height_mm / 2, 6, 4))
    for at_mm in range(0, round(across.width_mm) + 1, 10):
        words = fit(f"{at_mm} mm" if at_mm == across.width_mm else f"{at_mm}", FIGURE, 12, 4)
        layout.set("ruler", words, Box(across.x_mm + at_mm - 6, across.y_mm + 3.8, 12, 4), align="centre")

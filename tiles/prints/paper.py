"""Drawing layouts on the pages of a PDF, in real millimetres."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import singledispatchmethod
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageOps
from reportlab import rl_config
from reportlab.lib.colors import HexColor
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from tiles.prints import codes, fonts
from tiles.prints.fit import PT_PER_MM
from tiles.prints.fonts import Typeface
from tiles.prints.marks import Code, Layout, Line, Note, Patch, Picture, Plate, Rule, Words
from tiles.prints.scripts import set_runs
from tiles.prints.stock import TRUE_PRINTER, Box, Calibration

# Fine enough for a photograph on paper (common practice, no source); more only makes the file heavy.
PICTURE_DPI = 300
JPEG_QUALITY = 88
# A thin edge around a patch of colour, so that a white one is seen.
PATCH_EDGE_GREY = 0.5
# Plain compressed streams: writing them as letters made files a quarter larger and took as long as the text.
rl_config.useA85 = 0


@dataclass(frozen=True, slots=True)
class Printed:
    """A finished PDF and what was to be said about it."""

    pdf: bytes
    pages: int
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """One page to print: its size, how it is drawn, and the label stock it is printed on, if any."""

    width_mm: float
    height_mm: float
    draw: Callable[["Paper"], None]
    stock: str = ""

    @property
    def paper(self) -> str:
        """What to lay in the printer: the label stock, A4, Letter, or the size in mm."""
        size = (self.width_mm, self.height_mm)
        across = {(210.0, 297.0): "A4", (297.0, 210.0): "A4 across"}
        american = {(215.9, 279.4): "Letter", (279.4, 215.9): "Letter across"}
        large = {(297.0, 420.0): "A3", (420.0, 297.0): "A3 across"}
        return self.stock or {**across, **american, **large}.get(size, f"{size[0]:g} × {size[1]:g} mm")


class Paper:
    """The pages of one PDF. Sizes and places in mm from the upper left corner of the page.

    All that is drawn is shifted and stretched as the printer's calibration says, so that it comes out true.
    """

    def __init__(
        self,
        width_mm: float,
        height_mm: float,
        *,
        title: str,
        author: str = "",
        calibration: Calibration = TRUE_PRINTER,
    ) -> None:
        self.width_mm, self.height_mm = width_mm, height_mm
        self._calibration = calibration
        self._file = BytesIO()
        # Named first, or reportlab would name a font that no page uses and no file embeds.
        first_font = fonts.font(Typeface.TEXT).fontName
        self.canvas = self._canvas = Canvas(
            self._file,
            pagesize=(width_mm * PT_PER_MM, height_mm * PT_PER_MM),
            pageCompression=1,
            lang="en-GB",
            initialFontName=first_font,  # type: ignore[arg-type]
        )
        self._canvas.setTitle(title)
        self._canvas.setAuthor(author)
        self._canvas.setCreator("Tilewright")
        # Asks the print window for 100 %, or nothing would come out in real millimetres.
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._pictures: dict[tuple[Path, int, int], ImageReader] = {}
        self._forms: dict[str, str] = {}
        self._notes: list[Note] = []
        self._pages = 1
        self._calibrate()

    def next_page(self, width_mm: float | None = None, height_mm: float | None = None) -> None:
        """Turn over, to paper of another size where one is named."""
        self._canvas.showPage()
        self.width_mm, self.height_mm = width_mm or self.width_mm, height_mm or self.height_mm
        self._canvas.setPageSize((self.width_mm * PT_PER_MM, self.height_mm * PT_PER_MM))
        self._pages += 1
        self._calibrate()

    def _calibrate(self) -> None:
        """Distances are stretched from the upper left corner, where people measure from; the PDF counts from below."""
        by = self._calibration
        if by == TRUE_PRINTER:
            return
        down_mm = self.height_mm * (1 - by.scale_y) - by.offset_y_mm
        self._canvas.transform(by.scale_x, 0, 0, by.scale_y, by.offset_x_mm * PT_PER_MM, down_mm * PT_PER_MM)

    def draw(self, layout: Layout, place: Box) -> None:
        """Draw a card or label so that it fills the place."""
        self._draw_marks(layout, place)
        self._notes += layout.notes

    def _draw_marks(self, layout: Layout, place: Box) -> None:
        across, down = place.width_mm / layout.width_mm, place.height_mm / layout.height_mm
        self._canvas.saveState()
        self._canvas.transform(
            across, 0, 0, down, place.x_mm * PT_PER_MM, (self.height_mm - place.bottom_mm) * PT_PER_MM
        )
        for mark in layout.marks:
            try:
                self._put(mark, layout.height_mm)
            except (OSError, Image.DecompressionBombError):
                self._notes.append(Note(layout.number, "Its photo could not be read and is left out."))
        self._canvas.restoreState()

    def draw_again(self, name: str, layout: Layout, place: Box) -> None:
        """Draw what comes again and again, such as a frame: written once in the file under its name, shown many times.

        Its notes are not taken down. The name stands for one layout at one place throughout the PDF.
        """
        form = self._forms.get(name)
        if form is None:
            form = self._forms[name] = f"again{len(self._forms) + 1}"
            self._canvas.beginForm(form, 0, 0, self.width_mm * PT_PER_MM, self.height_mm * PT_PER_MM)
            self._draw_marks(layout, place)
            self._canvas.endForm()
        self._canvas.doForm(form)

    def finish(self) -> Printed:
        """The PDF with all that was noted on the way."""
        self._canvas.save()
        return Printed(self._file.getvalue(), self._pages, tuple(self._notes))

    @singledispatchmethod
    def _put(self, mark: object, height_mm: float) -> None:
        raise TypeError(f"no way to draw {mark!r}")

    @_put.register
    def _(self, mark: Words, height_mm: float) -> None:
        fonts.font(mark.typeface)
        words = self._canvas.beginText(mark.x_mm * PT_PER_MM, (height_mm - mark.baseline_mm) * PT_PER_MM)
        words.setFillGray(mark.grey)
        if fonts.is_ours(mark.text):
            words.setFont(mark.typeface.value, mark.size_pt)
            words.textOut(mark.text)
        else:
            set_runs(words, mark)
        self._canvas.drawText(words)

    @_put.register
    def _(self, mark: Code, height_mm: float) -> None:
        box = mark.box
        self._canvas.setFillGray(0)
        self._canvas.addLiteral(
            codes.drawing(
                mark.content,
                box.x_mm * PT_PER_MM,
                (height_mm - box.bottom_mm) * PT_PER_MM,
                box.width_mm * PT_PER_MM,
            )
        )

    @_put.register
    def _(self, mark: Plate, height_mm: float) -> None:
        self._canvas.setFillGray(mark.grey)
        self._canvas.setStrokeGray(mark.grey)
        self._canvas.setLineWidth(0.4)
        self._canvas.rect(*_pt(mark.box, height_mm), stroke=not mark.filled, fill=mark.filled)

    @_put.register
    def _(self, mark: Patch, height_mm: float) -> None:
        self._canvas.setFillColor(HexColor(mark.shown))
        self._canvas.setStrokeGray(PATCH_EDGE_GREY)
        self._canvas.setLineWidth(0.3)
        self._canvas.rect(*_pt(mark.box, height_mm), stroke=1, fill=1)

    @_put.register
    def _(self, mark: Rule, height_mm: float) -> None:
        self._canvas.setStrokeGray(mark.grey)
        self._canvas.setLineWidth(mark.width_pt)
        self._canvas.line(
            mark.x1_mm * PT_PER_MM,
            (height_mm - mark.y1_mm) * PT_PER_MM,
            mark.x2_mm * PT_PER_MM,
            (height_mm - mark.y2_mm) * PT_PER_MM,
        )

    @_put.register
    def _(self, mark: Line, height_mm: float) -> None:
        path = self._canvas.beginPath()
        for number, (x_mm, y_mm) in enumerate(mark.points):
            go = path.lineTo if number else path.moveTo
            go(x_mm * PT_PER_MM, (height_mm - y_mm) * PT_PER_MM)
        if mark.filled is not None:
            path.close()
            self._canvas.setFillGray(mark.filled)
        self._canvas.setStrokeGray(mark.grey)
        self._canvas.setLineWidth(mark.width_pt)
        self._canvas.setLineJoin(1)
        self._canvas.setDash(list(mark.dash_pt))
        self._canvas.drawPath(path, stroke=1, fill=mark.filled is not None)
        self._canvas.setDash([])

    @_put.register
    def _(self, mark: Picture, height_mm: float) -> None:
        picture = self._picture(mark.path, mark.box)
        x, y, width, height = _pt(mark.box, height_mm)
        self._canvas.drawImage(picture, x, y, width, height, preserveAspectRatio=True, anchor="c")

    def _picture(self, path: Path, box: Box) -> ImageReader:
        """The photograph with no more pixels than the box shows; one that is used again is embedded once."""
        dots = (round(box.width_mm / 25.4 * PICTURE_DPI), round(box.height_mm / 25.4 * PICTURE_DPI))
        key = (path, *dots)
        if key not in self._pictures:
            self._pictures[key] = ImageReader(_jpeg(path, dots))
        return self._pictures[key]


def print_pages(
    pages: Sequence[Page],
    *,
    title: str,
    author: str = "",
    calibration: Calibration = TRUE_PRINTER,
    tell: Callable[[int], None] = lambda done: None,
) -> Printed:
    """Pages of any size as one PDF; `tell` hears how many are drawn. Raises ValueError where there are none."""
    if not pages:
        raise ValueError("there is nothing to print")
    first, *_ = pages
    paper = Paper(first.width_mm, first.height_mm, title=title, author=author, calibration=calibration)
    for number, page in enumerate(pages):
        if number:
            paper.next_page(page.width_mm, page.height_mm)
        page.draw(paper)
        tell(number + 1)
    return paper.finish()


def laid_page(layout: Layout) -> Page:
    """A page that is one layout as large as the paper."""
    return placed_page(
        layout.width_mm, layout.height_mm, [(layout, Box(0, 0, layout.width_mm, layout.height_mm))]
    )


def placed_page(width_mm: float, height_mm: float, placed: Iterable[tuple[Layout, Box]]) -> Page:
    """A page of layouts, each in its place."""
    kept = tuple(placed)

    def draw(paper: Paper) -> None:
        for layout, place in kept:
            paper.draw(layout, place)

    return Page(width_mm, height_mm, draw)


def _jpeg(path: Path, dots: tuple[int, int]) -> BytesIO:
    """The picture as a JPEG that a PDF embeds as it is, without anything the camera wrote into it."""
    jpeg = BytesIO()
    with Image.open(path) as file:
        file.draft("RGB", dots)
        picture = ImageOps.exif_transpose(file)
        picture.thumbnail(dots, Image.Resampling.LANCZOS)
        picture.convert("RGB").save(jpeg, "JPEG", quality=JPEG_QUALITY)
    jpeg.seek(0)
    return jpeg


def _pt(box: Box, height_mm: float) -> tuple[float, float, float, float]:
    """A box in the PDF's points, from the lower left corner."""
    return (
        box.x_mm * PT_PER_MM,
        (height_mm - box.bottom_mm) * PT_PER_MM,
        box.width_mm * PT_PER_MM,
        box.height_mm * PT_PER_MM,
    )

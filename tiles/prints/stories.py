"""Reports made of reportlab's flowables, divided into pages that can be counted, and printed among others."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepTogether

from tiles.prints.fit import PT_PER_MM
from tiles.prints.paper import Page, Paper

# Sums of heights are floats.
SLACK_PT = 0.01


@dataclass(slots=True)
class _Column:
    """What stands on one page from the top down: each flowable with its distance below the column's top [pt]."""

    placed: list[tuple[Flowable, float]] = field(default_factory=list)
    end_pt: float = 0.0
    after_pt: float = 0.0


def story_pages(story: Iterable[Flowable], width_mm: float, height_mm: float, margin_mm: float) -> list[Page]:
    """The pages a report takes. What is higher than a page and cannot be divided is drawn past its foot."""
    room = ((width_mm - 2 * margin_mm) * PT_PER_MM, (height_mm - 2 * margin_mm) * PT_PER_MM)
    return [_page(column, width_mm, height_mm, margin_mm) for column in _columns(list(story), *room)]


def _page(column: _Column, width_mm: float, height_mm: float, margin_mm: float) -> Page:
    left_pt, top_pt = margin_mm * PT_PER_MM, (height_mm - margin_mm) * PT_PER_MM
    width_pt = (width_mm - 2 * margin_mm) * PT_PER_MM

    def draw(paper: Paper) -> None:
        for flowable, below_pt in column.placed:
            _, height_pt = flowable.wrapOn(paper.canvas, width_pt, top_pt)
            flowable.drawOn(paper.canvas, left_pt, top_pt - below_pt - height_pt)

    return Page(width_mm, height_mm, draw)


def _columns(story: list[Flowable], width_pt: float, height_pt: float) -> Iterator[_Column]:
    canvas, column, left = Canvas(BytesIO()), _Column(), _blocks(story)
    while left:
        block = left.pop(0)
        gap_pt = max(column.after_pt, block[0].getSpaceBefore()) if column.placed else 0.0
        heights = [flowable.wrapOn(canvas, width_pt, height_pt)[1] for flowable in block]
        free_pt = height_pt - column.end_pt - gap_pt + SLACK_PT
        if sum(heights) <= free_pt or (
            not column.placed and len(block) == 1 and not _split(block[0], width_pt, free_pt)
        ):
            _put(column, block, heights, gap_pt)
        elif len(block) == 1 and (pieces := _split(block[0], width_pt, free_pt)):
            _put(column, pieces[:1], [pieces[0].wrapOn(canvas, width_pt, free_pt)[1]], gap_pt)
            left = [[piece] for piece in pieces[1:]] + left
            yield column
            column = _Column()
        elif column.placed:
            yield column
            column, left = _Column(), [block, *left]
        else:
            left = [[flowable] for flowable in block] + left
    if column.placed:
        yield column


def _blocks(story: list[Flowable]) -> list[list[Flowable]]:
    """Flowables that stay together: those of a KeepTogether, and a heading with what follows it."""
    blocks: list[list[Flowable]] = []
    joins = False
    for flowable in story:
        parts = _kept_together(flowable)
        if joins:
            blocks[-1] += parts
        else:
            blocks.append(parts)
        joins = bool(parts[-1].getKeepWithNext())
    return blocks


def _kept_together(flowable: Flowable) -> list[Flowable]:
    return list(flowable._content) if isinstance(flowable, KeepTogether) else [flowable]  # type: ignore[attr-defined]


def _split(flowable: Flowable, width_pt: float, free_pt: float) -> list[Flowable]:
    """A part that fits and the rest, or nothing where it cannot be divided so."""
    pieces = flowable.splitOn(Canvas(BytesIO()), width_pt, free_pt)
    return pieces if len(pieces) > 1 else []


def _put(column: _Column, block: list[Flowable], heights: list[float], gap_pt: float) -> None:
    at_pt = column.end_pt + gap_pt
    for index, (flowable, height_pt) in enumerate(zip(block, heights, strict=True)):
        if index:
            at_pt += max(block[index - 1].getSpaceAfter(), flowable.getSpaceBefore())
        column.placed.append((flowable, at_pt))
        at_pt += height_pt
    column.end_pt, column.after_pt = at_pt, block[-1].getSpaceAfter()

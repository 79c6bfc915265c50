"""The range sheet as a kind of print: its facts from what is stored, its key the glaze and the sheet's own address."""

from collections.abc import Sequence

from django.http import QueryDict
from django.urls import reverse

from firings.keys import key_of
from firings.preferences import Preferences
from tiles.models import Glaze
from tiles.photos.renditions import Size
from tiles.prints.kinds import Asked, Option, sheet_kind
from tiles.prints.marks import Layout
from tiles.prints.papers import chosen_paper, paper_option
from tiles.prints.queries import picture_for_paper
from tiles.ranges.paper.sheet import CellFacts, SheetFacts, lay_out
from tiles.ranges.queries import Pictured, RangeSheet, range_sheet
from tiles.tilepage.judged import run_words


def _glaze_of(key: str) -> tuple[Glaze, str]:
    """The glaze of a key, and the sheet's address; raises LookupError where it is gone."""
    number, _, query = key.partition("?")
    glaze = Glaze.objects.filter(pk=key_of(number)).first()
    if glaze is None:
        raise LookupError("The glaze of this range sheet is not in the catalogue any more.")
    return glaze, query


def facts_of(sheet: RangeSheet, asked: Asked) -> SheetFacts:
    """What stands on the page of a sheet."""
    unit = asked.preferences.length_unit
    path = reverse("tiles:ranges:sheet", args=[sheet.glaze.pk])
    return SheetFacts(
        title=sheet.glaze.name,
        held=", ".join(filter(None, (sheet.glaze.get_kind_display(), *sheet.held_words))),
        note=_note(sheet),
        rows=tuple(line.level.words for line in sheet.lines),
        columns=tuple(level.words for level in sheet.matrix.columns),
        cells=tuple(
            tuple(_cell(place, unit, for_paper=asked.for_paper) for place in line.cells)
            for line in sheet.lines
        ),
        address=f"{asked.preferences.address}{path}?{sheet.query}",
        studio=asked.preferences.studio_name,
    )


def _note(sheet: RangeSheet) -> str:
    words = ["n: how many results stand behind a picture."]
    if sheet.open_words:
        words.append(f"Within a cell may differ: {', '.join(sheet.open_words)}.")
    if sheet.matrix.left_out:
        words.append(f"No room for: {', '.join(level.words for level in sheet.matrix.left_out)}.")
    return " ".join(words)


def _cell(place: Pictured, unit: str, *, for_paper: bool) -> CellFacts:
    outcome = place.outcome
    if outcome is None:
        return CellFacts()
    run = run_words(outcome, unit) if outcome.run_mm or outcome.runs_off else ""  # type: ignore[arg-type]
    seen = [
        outcome.zone.name,
        outcome.get_surface_display(),
        run,
        *(flaw.get_kind_display() for flaw in outcome.flaws.all()),
    ]
    photo = picture_for_paper(place.photo, Size.MEDIUM if for_paper else None) if place.photo else None
    return CellFacts(", ".join(filter(None, seen)), place.cell.n, photo)


def _layouts(asked: Asked) -> list[Layout]:
    layouts = []
    for key in asked.keys:
        glaze, query = _glaze_of(key)
        sheet = range_sheet(glaze, QueryDict(query).dict())
        layouts.append(lay_out(facts_of(sheet, asked), chosen_paper(asked)))
    return layouts


def _says(asked: Asked) -> str:
    return ", ".join(_glaze_of(key)[0].name for key in asked.keys)


def _options(preferences: Preferences) -> Sequence[Option]:
    return (paper_option(preferences),)


RANGE_SHEET = sheet_kind(
    "range-sheet",
    "range sheet",
    "range sheets",
    "tiles.view_outcome",
    says=_says,
    layouts=_layouts,
    options=_options,
)

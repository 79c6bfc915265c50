"""Reports of firings from what is stored, and their kind in the table of prints."""

from dataclasses import replace

from firings.keys import key_of
from firings.models import Firing
from firings.preferences import Preferences
from firings.programmes.segments import Unit
from firings.report.queries import report_of
from firings.words import counted
from tiles.loading import queries as loading
from tiles.loading.queries import ShelfLoad
from tiles.loading.shelves import ShelfPlan
from tiles.prints.kinds import Asked, sheet_kind
from tiles.prints.marks import Layout
from tiles.reports.sheet import ReportFacts, ReportShelf, sheets


def layouts_of(firing: Firing, preferences: Preferences) -> list[Layout]:
    """The pages of a firing's report; a constant number of queries."""
    load = loading.load_of(firing)
    plans = loading.drawn(load)
    shelves = [
        _shelf(row, plans.get(row.shelf.pk) if row.shelf else None)
        for row in load.shelves
        if row.placements or row.cones
    ]
    report = report_of(firing, Unit(preferences.temperature_unit))
    facts = ReportFacts(
        replace(report, facts=[*report.facts, ("Tiles in it", str(load.count))]),
        tuple(shelves),
        tuple(tile.label for tile in load.bisqued),
        preferences.studio_name,
    )
    return sheets(facts, preferences.paper)


def _shelf(row: ShelfLoad, plan: ShelfPlan | None) -> ReportShelf:
    tiles = counted(len(row.placements), "tile")
    title = (
        f"Shelf {row.shelf.position} from the bottom: {tiles}" if row.shelf else f"Shelf not noted: {tiles}"
    )
    numbers = tuple(
        f"{one.tile.label} ({one.place})" if one.place and not plan else one.tile.label
        for one in row.placements
    )
    packs = tuple(f"{pack.words}, {pack.place or 'front'}" for pack in row.cones)
    return ReportShelf(title, plan, (*numbers, *packs))


def _firings(asked: Asked) -> list[Firing]:
    numbers = [key_of(key) for key in asked.keys]
    by_number = {firing.number: firing for firing in Firing.objects.for_lists().filter(number__in=numbers)}
    if not by_number:
        raise LookupError(f"There is no firing {', '.join(asked.keys)}.")
    return [by_number[number] for number in numbers if number in by_number]


def _layouts(asked: Asked) -> list[Layout]:
    return [layout for firing in _firings(asked) for layout in layouts_of(firing, asked.preferences)]


def _says(asked: Asked) -> str:
    return ", ".join(firing.label for firing in _firings(asked))


FIRING_REPORT = sheet_kind(
    "firing-report",
    "firing report",
    "firing reports",
    "firings.view_firing",
    says=_says,
    layouts=_layouts,
)

"""Load sheets from what is stored, and their kind in the table of prints."""

from firings.keys import key_of
from firings.kilns.cautions import LOADING
from firings.models import Firing
from tiles.loading import queries
from tiles.loading.paper.sheet import LoadFacts, SheetShelf, SheetTile, sheets, shelf_order, spot_words
from tiles.loading.queries import ShelfLoad
from tiles.loading.shelves import ShelfPlan, Spot
from tiles.models import Placement
from tiles.prints.kinds import Asked, sheet_kind
from tiles.prints.marks import Layout

FAR = (10_000, 10_000)


def load_facts(firing: Firing, studio: str) -> LoadFacts:
    """All that stands on a firing's load sheets; a constant number of queries."""
    load = queries.load_of(firing)
    plans = queries.drawn(load)
    fire = [
        firing.get_purpose_display(),
        f"cone {firing.target_label}" if firing.target_label else "",
        firing.get_atmosphere_display(),
        f"{firing.hold_min} min hold" if firing.hold_min else "",
        f"kiln {firing.kiln}",
        f"{load.count} tiles" if load.count != 1 else "1 tile",
    ]
    shelves = [
        _shelf(row, plans.get(row.shelf.pk) if row.shelf else None, load.meant)
        for row in load.shelves
        if row.placements or row.cones
    ]
    if load.bisqued:
        raw = tuple(SheetTile(tile.label, str(tile.body)) for tile in load.bisqued)
        shelves.append(SheetShelf("Tiles in this bisque firing", None, raw))
    cautions = (str(LOADING), *(warning.words for warning in load.warnings))
    return LoadFacts(f"Load {firing.label}", ", ".join(filter(None, fire)), tuple(shelves), cautions, studio)


def _shelf(row: ShelfLoad, plan: ShelfPlan | None, meant: dict[str, str]) -> SheetShelf:
    spots = {spot.seen.key: spot for spot in plan.spots} if plan else {}
    found = [(one, spots.get(f"t{one.pk}")) for one in row.placements]
    lines = [(_corner(spot), _line(one, spot, meant.get(one.tile.label, ""))) for one, spot in found]
    lines += [
        ((-1, place), SheetTile("cones", f"{pack.words.partition(' ')[2]}; {pack.place or 'front'}"))
        for place, pack in enumerate(row.cones)
    ]
    title = "Shelf not noted"
    if row.shelf:
        room = f", {row.shelf.height_mm} mm room above" if row.shelf.height_mm else ""
        title = f"Shelf {row.shelf.position} from the bottom{room}: {len(row.placements)} tiles"
    return SheetShelf(title, plan, shelf_order(lines))


def _corner(spot: Spot | None) -> tuple[int, int]:
    return (spot.standing.y_mm, spot.standing.x_mm) if spot else FAR


def _line(placement: Placement, spot: Spot | None, meant: str) -> SheetTile:
    words = [str(placement.tile.body), spot_words(spot, placement.place), meant]
    return SheetTile(placement.tile.label, "; ".join(filter(None, words)), placement.on_cookie)


def _firings(asked: Asked) -> list[Firing]:
    numbers = [key_of(key) for key in asked.keys]
    found = list(Firing.objects.filter(number__in=numbers).select_related("kiln"))
    if not found:
        raise LookupError("There is no such firing.")
    return found


def _layouts(asked: Asked) -> list[Layout]:
    preferences = asked.preferences
    return [
        layout
        for firing in _firings(asked)
        for layout in sheets(load_facts(firing, preferences.studio_name), preferences.paper)
    ]


def _says(asked: Asked) -> str:
    return ", ".join(firing.label for firing in _firings(asked))


LOAD_SHEET = sheet_kind(
    "load-sheet",
    "load sheet",
    "load sheets",
    "tiles.view_placement",
    says=_says,
    layouts=_layouts,
)

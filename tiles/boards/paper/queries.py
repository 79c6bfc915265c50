"""The map of a board as a kind of print; its key is the board's, its code the public page where there is one."""

from collections.abc import Sequence

from firings.keys import key_of
from firings.preferences import Preferences
from tiles.boards.paper.map import MapFacts, SlotFacts, lay_out
from tiles.boards.queries import BoardPage, Place, board_page
from tiles.models import Board
from tiles.prints.kinds import Asked, Option, sheet_kind
from tiles.prints.marks import Layout
from tiles.prints.papers import chosen_paper, paper_option
from tiles.public.queries import public_address_of_board

GRID, SCALE = "grid", "scale"


def _board_of(key: str) -> Board:
    """The board of a key; raises LookupError where it is gone."""
    found = Board.objects.filter(pk=key_of(key)).first()
    if found is None:
        raise LookupError("This board is not in the logbook any more.")
    return found


def facts_of(page: BoardPage, preferences: Preferences, *, to_scale: bool) -> MapFacts:
    """What stands on a board's map. For people without a sign-in the code opens the public page, if there is one."""
    path = public_address_of_board(page.board) or page.board.get_absolute_url()
    wanted = f" · {page.wanted_count} wanted" if page.wanted_count else ""
    return MapFacts(
        title=page.board.name,
        lead=f"{page.hung_count} tiles hang{wanted} · {page.free_count} free",
        columns=tuple(page.columns),
        rows=tuple((words, tuple(map(_slot, places))) for words, places in page.rows),
        address=f"{preferences.address}{path}",
        studio=preferences.studio_name,
        to_scale=to_scale,
    )


def _slot(place: Place) -> SlotFacts:
    if place.hung is None:
        return SlotFacts(wanted=place.wanted)
    said, form = place.hung.words, place.hung.tile.form
    return SlotFacts(said.number, said.stack, said.conditions, int(form.width_mm), int(form.height_mm))


def _layouts(asked: Asked) -> list[Layout]:
    preferences, to_scale = asked.preferences, asked.options.get("how") == SCALE
    pages = (board_page(_board_of(key), preferences) for key in asked.keys)
    return [lay_out(facts_of(page, preferences, to_scale=to_scale), chosen_paper(asked)) for page in pages]


def _says(asked: Asked) -> str:
    return ", ".join(_board_of(key).name for key in asked.keys)


def _options(preferences: Preferences) -> Sequence[Option]:
    return (Option("how", "Drawn", ((GRID, "as a grid"), (SCALE, "to scale"))), paper_option(preferences))


BOARD_MAP = sheet_kind(
    "board-map",
    "map of a board",
    "maps of boards",
    "tiles.view_board",
    says=_says,
    layouts=_layouts,
    options=_options,
)

"""Fills the table of what can be printed when Django starts. A subject with something to print adds its kind here."""

from tiles.answers.paper import queries as answers
from tiles.boards.paper import queries as boards
from tiles.loading.paper import queries as loading
from tiles.planner import queries as planner
from tiles.prints import kinds
from tiles.prints.own import queries as own
from tiles.ranges.paper import queries as ranges
from tiles.reports import queries as reports

ALL = (
    own.CARDS,
    own.LABELS,
    reports.FIRING_REPORT,
    own.PHOTO_MAT,
    planner.CLIPBOARD_SHEET,
    loading.LOAD_SHEET,
    ranges.RANGE_SHEET,
    answers.ANSWER_SHEET,
    boards.BOARD_MAP,
)


def fill_the_table() -> None:
    """Register every kind; twice is as good as once."""
    for kind in ALL:
        kinds.register(kind)

"""What a firing's report says, in words and one drawing, before any paper."""

from collections.abc import Sequence
from dataclasses import dataclass

from firings.curves.drawing import Drawing

CAUTION = (
    "A record of a firing, no statement about food safety. Kilns and wiring follow local codes and the work of "
    "licensed trades; the maker’s instructions come first."
)


@dataclass(frozen=True, slots=True)
class Report:
    """All that stands on a report, in words. `facts` and `heat` are label and value; `cones` and `notes` rows.

    reached, reached_by : the reached cone, empty where it is not known, and what says so
    drawing : what was fired over what was asked, or what was asked alone
    asked : the programme segment by segment
    """

    title: str
    lead: str
    reached: str
    reached_by: str
    facts: Sequence[tuple[str, str]]
    heat: Sequence[tuple[str, str]] = ()
    noticed: Sequence[str] = ()
    cones: Sequence[tuple[str, str, str]] = ()
    notes: Sequence[tuple[str, str]] = ()
    drawing: Drawing | None = None
    is_logged: bool = False
    asked: str = ""
    printed: str = ""

"""On which paper a sheet is printed: the printer's usual one, or a large one for what is read from a wall."""

from firings.preferences import Preferences
from tiles.prints.cards import PAPERS
from tiles.prints.kinds import Asked, Option

# ISO 216, trimmed sizes: A3 is 297 × 420 mm.
SHEET_PAPERS = {**PAPERS, "A3": (297.0, 420.0)}


def paper_option(preferences: Preferences) -> Option:
    """The choice of paper, the studio's own first."""
    names = sorted(SHEET_PAPERS, key=lambda name: name != preferences.paper)
    return Option("paper", "Paper", tuple((name, name) for name in names))


def chosen_paper(asked: Asked) -> str:
    """The paper that was chosen, or the studio's own where none was, or none that is known."""
    said = asked.options.get("paper", "")
    return said if said in SHEET_PAPERS else asked.preferences.paper

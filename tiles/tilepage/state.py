"""How far a tile has come."""

from firings.vocabulary import Term


class TileState(Term):
    """Where a tile is on its way; a tile that goes into the kiln again is loaded again."""

    MADE = "made", "made"
    GLAZED = "glazed", "glazed"
    LOADED = "loaded", "in the kiln"
    FIRED = "fired", "fired, to judge"
    JUDGED = "judged", "judged"

"""What waits, as far as the results held in memory tell it."""

import numpy as np

from tiles.columns.held import Held
from tiles.columns.values import HEAT, SEEN, WARE
from tiles.search.groups import NO, YES


def unjudged_firings(held: Held) -> set[int]:
    """The numbers of firings with results that nobody judged yet."""
    unjudged = held.facets["judged"].answering(NO.__eq__).take(held.rows.codes[SEEN])
    heats = held.books[HEAT].values
    return {heats[code].firing for code in np.unique(held.rows.codes[HEAT][unjudged]).tolist()}


def any_judged_pictured(held: Held) -> bool:
    """Whether any judged result has a photo."""
    judged = held.facets["judged"].answering(YES.__eq__).take(held.rows.codes[SEEN])
    pictured = held.facets["photo"].answering(YES.__eq__).take(held.rows.codes[WARE])
    return bool((judged & pictured).any())

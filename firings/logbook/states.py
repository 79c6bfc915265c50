"""The states of a firing, in order, and what moves it on."""

from firings.vocabulary import FiringState

ORDER = tuple(FiringState)
# From here on the ware has seen the fire, and the firing has a reached cone.
AFTER_THE_FIRE = frozenset({FiringState.FIRED, FiringState.UNLOADED})


def state_after(state: str) -> FiringState | None:
    """The next state, or None after the last.

    >>> state_after("loaded").value, state_after("unloaded")
    ('fired', None)
    """
    later = ORDER[ORDER.index(FiringState(state)) + 1 :]
    return later[0] if later else None


def is_ahead(state: str, of: str) -> bool:
    """Whether a state comes later than another.

    >>> is_ahead("fired", of="planned"), is_ahead("loaded", of="loaded")
    (True, False)
    """
    return ORDER.index(FiringState(state)) > ORDER.index(FiringState(of))


def is_through_the_fire(state: str) -> bool:
    """Whether a firing in this state has been fired."""
    return FiringState(state) in AFTER_THE_FIRE

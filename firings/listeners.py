"""Who wants to know that a firing's facts changed. `studio/apps.py` fills the list; the only seam of its kind."""

from collections.abc import Callable, Sequence

# Called inside the transaction that changed the firings, with their primary keys.
firings_changed: list[Callable[[Sequence[int]], object]] = []


def tell(firing_ids: Sequence[int]) -> None:
    """Tell every listener, inside the caller's transaction."""
    for listener in firings_changed:
        listener(firing_ids)

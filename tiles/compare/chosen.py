"""Which results an address asks to compare: ``o=12,40,7``, in that order."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from firings.keys import is_key

# More do not fit beside one another on a desk, nor in the eye.
FEWEST, MOST = 2, 8


@dataclass(frozen=True, slots=True)
class Chosen:
    """The results' keys, each once, in the address's order; `unread` is what is no key."""

    keys: tuple[int, ...]
    unread: tuple[str, ...] = ()

    @property
    def written(self) -> str:
        """As it stands in an address."""
        return ",".join(map(str, self.keys))

    @property
    def are_too_many(self) -> bool:
        """Whether there are more than can be compared."""
        return len(self.keys) > MOST

    def without(self, key: int) -> "Chosen":
        """The others.

        >>> Chosen((3, 1, 2)).without(1).written
        '3,2'
        """
        return Chosen(tuple(other for other in self.keys if other != key))


def read(values: Iterable[str]) -> Chosen:
    """What an address says, whether once with commas or once for each result.

    >>> read(["12,40", "7", "12", "x"])
    Chosen(keys=(12, 40, 7), unread=('x',))
    """
    words = [word.strip() for value in values for word in value.split(",") if word.strip()]
    keys = dict.fromkeys(int(word) for word in words if is_key(word))
    return Chosen(tuple(keys), tuple(word[:20] for word in words if not is_key(word)))


def trouble(chosen: Chosen, missing: Sequence[int]) -> str:
    """What to tell where not all that was asked can be shown; nothing where it can.

    >>> trouble(Chosen((1, 2, 3)), [3])
    'One of these results is not here any more; its tile or firing may be in the bin.'
    """
    if chosen.are_too_many:
        return f"{len(chosen.keys)} results are chosen, and {MOST} at most stand side by side. Take some off."
    if chosen.unread:
        return f"“{chosen.unread[0]}” is no result. Choose results from the list instead."
    if len(missing) == 1:
        return "One of these results is not here any more; its tile or firing may be in the bin."
    if missing:
        return f"{len(missing)} of these results are not here any more; their tiles or firings may be in the bin."
    return ""

"""Which photos were taken one after the other: one person's, of one firing, with no long pause between them."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

# Longer than judging one tile between two photos takes, shorter than loading the next kiln. Our own choice.
LONGEST_PAUSE = timedelta(minutes=20)


@dataclass(frozen=True, slots=True)
class Taken:
    """When and by whom a photo, given by its key, was taken; where the camera did not say, when it arrived.

    `firing` is the key of the one on whose page it was sent, where it was on one.
    """

    photo: int
    at: datetime
    by: int | None
    firing: int | None = None


def bursts(taken: Iterable[Taken]) -> list[list[int]]:
    """The photos' keys burst by burst, in the order they come in, which is the order they were taken.

    >>> noon = datetime(2026, 10, 14, 12)
    >>> bursts([Taken(1, noon, 7), Taken(2, noon, 8), Taken(3, noon + timedelta(minutes=5), 7)])
    [[1, 3], [2]]
    """
    found: list[list[int]] = []
    last: dict[int | None, tuple[Taken, list[int]]] = {}
    for photo in taken:
        before = last.get(photo.by)
        if before is None or _begins_anew(photo, before[0]):
            found.append([])
            before = (photo, found[-1])
        before[1].append(photo.photo)
        last[photo.by] = (_knowing(photo, before[0]), before[1])
    return found


def _begins_anew(photo: Taken, before: Taken) -> bool:
    is_of_another_firing = None not in (photo.firing, before.firing) and photo.firing != before.firing
    return is_of_another_firing or photo.at - before.at > LONGEST_PAUSE


def _knowing(photo: Taken, before: Taken) -> Taken:
    """A photo that says no firing is of the one of those before it."""
    return photo if photo.firing is not None else replace(photo, firing=before.firing)

"""Which photos were taken one after the other: one person's, with no long pause between them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

# Longer than judging one tile between two photos takes, shorter than loading the next kiln. Our own choice.
LONGEST_PAUSE = timedelta(minutes=20)


@dataclass(frozen=True, slots=True)
class Taken:
    """When and by whom a photo, given by its key, was taken; where the camera did not say, when it arrived."""

    photo: int
    at: datetime
    by: int | None


def bursts(taken: Iterable[Taken]) -> list[list[int]]:
    """The photos' keys burst by burst, in the order they come in, which is the order they were taken.

    >>> noon = datetime(2026, 10, 14, 12)
    >>> bursts([Taken(1, noon, 7), Taken(2, noon, 8), Taken(3, noon + timedelta(minutes=5), 7)])
    [[1, 3], [2]]
    """
    found: list[list[int]] = []
    last: dict[int | None, tuple[datetime, list[int]]] = {}
    for photo in taken:
        before = last.get(photo.by)
        if before is None or photo.at - before[0] > LONGEST_PAUSE:
            found.append([])
            before = (photo.at, found[-1])
        before[1].append(photo.photo)
        last[photo.by] = (photo.at, before[1])
    return found

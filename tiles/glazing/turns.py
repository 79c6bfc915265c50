"""Whose turn it is while many tiles are glazed: every coat dries on one tile while others are brushed.

A label's drying time is the shortest wait it asks for; the tile decides, so nothing here forbids going on earlier
(common practice, no source: a coat is dry enough to brush over once its wet shine is gone).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta


@dataclass(frozen=True, slots=True)
class Coat:
    """One coat to put on: the `number`th of `of` of a layer. `drying` is what it needs before anything goes over it."""

    layer: int
    number: int
    of: int
    glaze: int
    drying: timedelta = timedelta(0)

    @property
    def key(self) -> tuple[int, int]:
        return self.layer, self.number


@dataclass(frozen=True, slots=True)
class Job:
    """A tile's coats in the order they go on, and when those that are on were laid. `place` is its rank in the list."""

    tile: int
    place: int
    coats: tuple[Coat, ...]
    laid: Mapping[tuple[int, int], datetime]

    @property
    def left(self) -> tuple[Coat, ...]:
        """The coats still to put on, the next one first."""
        return tuple(coat for coat in self.coats if coat.key not in self.laid)

    @property
    def next(self) -> Coat | None:
        return next(iter(self.left), None)

    @property
    def last(self) -> Coat | None:
        """The coat put on last."""
        on = [coat for coat in self.coats if coat.key in self.laid]
        return max(on, key=lambda coat: self.laid[coat.key], default=None)

    @property
    def is_done(self) -> bool:
        return not self.left

    @property
    def ready_at(self) -> datetime | None:
        """When the coat put on last has dried; None while the tile is bare."""
        last = self.last
        return self.laid[last.key] + last.drying if last else None

    def is_ready(self, now: datetime) -> bool:
        return self.ready_at is None or self.ready_at <= now


def in_hand(jobs: Iterable[Job]) -> int | None:
    """The glaze that is on the brush: that of the coat put on last."""
    on = [(job.laid[coat.key], coat.glaze) for job in jobs for coat in job.coats if coat.key in job.laid]
    return max(on)[1] if on else None


def in_turn(jobs: Sequence[Job], now: datetime) -> list[Job]:
    """The tiles that still want a coat, the one to take up next first.

    What can be brushed now stands before what dries; of these the glaze on the brush before another one, so that the
    brush is washed seldom; then the tile that has been dry longest, then those not begun, as they stand in the list.
    """
    glaze = in_hand(jobs)

    def turn(job: Job) -> tuple[bool, bool, bool, float, int]:
        ready_at = job.ready_at
        if not job.is_ready(now):
            return True, False, False, ready_at.timestamp() if ready_at else 0.0, job.place
        coat = job.next
        waited = -(now - ready_at).total_seconds() if ready_at else 0.0
        return False, coat is not None and coat.glaze != glaze, ready_at is None, waited, job.place

    return sorted((job for job in jobs if not job.is_done), key=turn)

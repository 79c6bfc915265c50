"""How often, how long: the figures of work that is done while nobody waits."""

from datetime import timedelta

# A worker says that it lives every few seconds. One that has not for this long is gone: long enough for a machine
# busy with a large picture, short enough that nobody wonders where their photo is.
BEAT_EVERY_S = 10.0
GONE_AFTER = timedelta(seconds=30)

# How often a worker looks for what dead ones left, and for what is due.
LOOK_AFTER_EVERY_S = 5.0

# How long a worker that found nothing to do looks away: the most a photo waits to be looked at.
LOOK_EVERY_S = 0.5

# A disk that was full, a database that was away: soon again at first, then ever later, then a person's turn.
WAITS_S = (5, 30, 5 * 60, 30 * 60)
MOST_TRIES = len(WAITS_S) + 1

# What was done well is of no interest after this; what failed stays until somebody looked, or for this long.
DONE_KEPT = timedelta(days=2)
FAILED_KEPT = timedelta(days=60)

# Work that has waited this long, with nobody there to do it, is worth a word to the keeper.
WORTH_A_WORD = timedelta(minutes=1)


def wait_after(tries: int) -> timedelta | None:
    """How long to wait after so many tries have failed; None when it has been tried often enough.

    >>> wait_after(1), wait_after(4), wait_after(5)
    (datetime.timedelta(seconds=5), datetime.timedelta(seconds=1800), None)
    """
    return timedelta(seconds=WAITS_S[tries - 1]) if tries < MOST_TRIES else None

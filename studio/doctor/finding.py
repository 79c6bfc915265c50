"""One part of an installation, looked at."""

from collections.abc import Iterable
from dataclasses import dataclass

from firings.vocabulary import Term


class State(Term):
    WELL = "well", "well"
    WATCH = "watch", "watch"
    ILL = "ill", "ILL"


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found of one part, in words, and what to do when it is not well."""

    part: str
    state: State
    words: str
    advice: str = ""

    def line(self) -> str:
        """As it is read in a terminal.

        >>> Finding("disk", State.WATCH, "3 % free.", "Make room.").line()
        'watch  disk: 3 % free. Make room.'
        """
        return f"{self.state.label:<6} {self.part}: {' '.join(filter(None, (self.words, self.advice)))}"


def some(count: int, one: str, many: str) -> str:
    """
    >>> some(1, "worker", "workers"), some(2000, "worker", "workers")
    ('1 worker', '2,000 workers')
    """
    return f"{count:,} {one if count == 1 else many}"


def is_healthy(findings: Iterable[Finding]) -> bool:
    """Whether nothing is ill; what is only to be watched may wait."""
    return all(finding.state is not State.ILL for finding in findings)


def well(part: str, words: str) -> Finding:
    return Finding(part, State.WELL, words)


def watch(part: str, words: str, advice: str) -> Finding:
    return Finding(part, State.WATCH, words, advice)


def ill(part: str, words: str, advice: str) -> Finding:
    return Finding(part, State.ILL, words, advice)

"""Answers about one snapshot of the results, kept while it stands: the next page of a search is not counted anew."""

import threading
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

Answer = TypeVar("Answer")
# A search's choices with their counts take about 60 kB, the keys of a page of it next to nothing; what is worked out of
# all results, some tens of megabytes.
MOST_KEPT, MOST_LARGE_KEPT = 200, 16


class Answers:
    """The newest answers by their questions. A snapshot never changes, so no answer about it does."""

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._kept: dict[Hashable, Any] = {}

    def of(self, question: Hashable, ask: Callable[[], Answer]) -> Answer:
        """The answer, asked for where it is not kept."""
        with self._lock:
            if question in self._kept:
                self._kept[question] = answer = self._kept.pop(question)
                return answer
        answer = ask()
        with self._lock:
            self._kept[question] = answer
            if len(self._kept) > self._most:
                del self._kept[next(iter(self._kept))]
        return answer

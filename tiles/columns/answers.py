"""Answers about one snapshot of the results, kept while it stands: the next page of a search is not counted anew."""

import threading
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

Answer = TypeVar("Answer")
# A search's choices with their counts take about 60 kB, the keys of a page of it next to nothing; what is worked out of
# many results, half a megabyte or more for each thousand of them.
MOST_KEPT, MOST_LARGE_KEPT, MOST_RESULTS = 200, 16, 300_000


class Answers:
    """The newest answers by their questions. A snapshot never changes, so no answer about it does.

    most, most_results : how many answers are kept, and of how many results they are in all
    """

    def __init__(self, most: int = MOST_KEPT, most_results: int = MOST_RESULTS) -> None:
        self._most, self._most_results = most, most_results
        self._lock = threading.Lock()
        self._kept: dict[Hashable, tuple[Any, int]] = {}

    def of(
        self, question: Hashable, ask: Callable[[], Answer], of_results: Callable[[Answer], int] = lambda _: 0
    ) -> Answer:
        """The answer, asked for where it is not kept; `of_results` tells how many results it holds on to.

        Answers of so many results that they would fill the memory of a small machine are not kept at all.
        """
        with self._lock:
            if question in self._kept:
                self._kept[question] = kept = self._kept.pop(question)
                return kept[0]
        answer = ask()
        with self._lock:
            self._kept[question] = answer, of_results(answer)
            while len(self._kept) > self._most or self._results() > self._most_results:
                del self._kept[next(iter(self._kept))]
        return answer

    def _results(self) -> int:
        return sum(count for _, count in self._kept.values())

"""What a logger's file comes to, before anything is kept: how it was read, what counts, what its heat work is."""

from dataclasses import dataclass
from typing import Any

from firings.curves.reading import Choice, Reading, read
from firings.curves.text import UnreadableCurve
from firings.curves.together import one_curve
from firings.heatwork.bending import UnfitCurve
from firings.heatwork.equivalent import equivalent
from firings.heatwork.plain import plain_equivalent


@dataclass(frozen=True, slots=True)
class Outlook:
    """A reading with its heat work. `counting` names the sensors that count, `counts` the one that was chosen to, empty
    for the middle of all; `words` is all that was noticed.

    `heat` is plain values as `firings.heatwork.plain` writes them, without figures where none could be summed.
    """

    reading: Reading
    choice: Choice
    counting: tuple[str, ...]
    counts: str
    heat: dict[str, Any]
    words: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the file's columns."""
        return tuple(column["name"] for column in self.reading.read_as.columns)


def look(data: bytes, choice: Choice, counts: str = "") -> Outlook:
    """Read a file and sum its heat work.

    Parameters
    ----------
    counts : name of the one sensor that counts; empty for the middle of all

    Raises
    ------
    UnreadableCurve : no curve we can be sure of, or no sensor of that name
    """
    reading = read(data, choice)
    sensors = reading.by_name()
    if counts and counts not in sensors:
        raise UnreadableCurve(f"{counts} is not among the sensors that were read: {', '.join(sensors)}.")
    counting = (counts,) if counts else tuple(sensors)
    one = one_curve(reading.times_s, {name: sensors[name] for name in counting})
    words = [*reading.warnings, *one.words]
    heat: dict[str, Any] = {}
    try:
        found = equivalent(one.times_s, one.temps_c)
    except UnfitCurve as trouble:
        words.append(f"No cone could be worked out: {trouble}")
    else:
        heat = plain_equivalent(found)
        words += found.warnings
    return Outlook(reading, choice, counting, counts, heat, tuple(dict.fromkeys(words)))

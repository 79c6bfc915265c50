"""What a logger's file comes to, before anything is kept: how it was read, what counts, what its heat work is."""

from dataclasses import dataclass
from typing import Any

from firings.curves.reading import Choice, Reading, read
from firings.curves.summing import heat_of
from firings.curves.text import UnreadableCurve
from firings.curves.together import OneCurve, one_curve
from firings.notice import notice_from


@dataclass(frozen=True, slots=True)
class Outlook:
    """A reading with its heat work. `counting` names the sensors that count, `counts` the one that was chosen to, empty
    for the middle of all; `words` is all that was noticed.

    `one` is the sensors that count as one curve; `heat` what it comes to, as `firings.curves.summing` writes it.
    """

    reading: Reading
    choice: Choice
    counting: tuple[str, ...]
    counts: str
    one: OneCurve
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
    heat = heat_of(one)
    words = [*reading.warnings, *(notice_from(words) for words in heat["warnings"])]
    return Outlook(reading, choice, counting, counts, one, heat, tuple(dict.fromkeys(words)))

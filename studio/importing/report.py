"""What a file would make, or made, and what is to mend: plain values that a page, the command and a table of messages
show, and that can be kept as JSON."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any, Self

from firings.words import listed

# Rows named in one line, lines kept of all messages, rows shown as they would become.
ROWS_NAMED, MESSAGES_KEPT, ROWS_SHOWN = 6, 5_000, 8


@dataclass(frozen=True, slots=True)
class Message:
    """What is to be said of one row: the column's heading, what stands there, and what to do.

    stops : nothing is kept while it stands; else it is only worth knowing
    place : the column, to mend the cell in place; -1 where the row as a whole is meant
    """

    row: int
    column: str
    words: str
    cell: str = ""
    place: int = -1
    stops: bool = True

    def __str__(self) -> str:
        return (
            f"row {self.row}, {self.column}: {self.words}" if self.column else f"row {self.row}: {self.words}"
        )


@dataclass(frozen=True, slots=True)
class Grouped:
    """The same message of several rows."""

    message: Message
    rows: tuple[int, ...]

    @property
    def where(self) -> str:
        """Which rows: "rows 5, 9 and 12", or "row 5 and 811 more"."""
        named = [str(row) for row in self.rows[:ROWS_NAMED]]
        left = len(self.rows) - len(named)
        if left:
            return f"rows {', '.join(named)} and {left:,} more"
        return f"{'row' if len(named) == 1 else 'rows'} {listed(named)}"


def grouped(messages: Iterable[Message]) -> list[Grouped]:
    """Messages that say the same of the same cell, together; those that stop come first."""
    found: dict[tuple[str, str, str, int, bool], list[Message]] = defaultdict(list)
    for one in messages:
        found[(one.column, one.cell, one.words, one.place, one.stops)].append(one)
    groups = [Grouped(same[0], tuple(one.row for one in same)) for same in found.values()]
    return sorted(groups, key=lambda group: (not group.message.stops, group.rows[0]))


@dataclass(frozen=True, slots=True)
class Shown:
    """One row as it would become: its conditions line and what was seen."""

    row: int
    tile: str
    line: str
    seen: str


@dataclass(slots=True)
class Report:
    """What a file makes.

    counts : rows read, and what is made of them, by words for it
    new : names of new records, by kind
    messages : at most MESSAGES_KEPT of `total` that stop and `noted` that do not
    """

    counts: dict[str, int] = field(default_factory=dict)
    new: dict[str, list[str]] = field(default_factory=dict)
    changed: list[str] = field(default_factory=list)
    unchanged: int = 0
    messages: list[Message] = field(default_factory=list)
    total: int = 0
    noted: int = 0
    shown: list[Shown] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    rows_to_mend: list[int] = field(default_factory=list)

    @property
    def is_clean(self) -> bool:
        return not self.total

    def hear(self, messages: Sequence[Message]) -> None:
        """Take messages in, those that stop before the others."""
        self.total += sum(one.stops for one in messages)
        self.noted += sum(not one.stops for one in messages)
        ordered = sorted([*self.messages, *messages], key=lambda one: (not one.stops, one.row))
        stopped = {one.row for one in messages if one.stops and one.row}
        self.rows_to_mend = sorted({*self.rows_to_mend, *stopped})
        self.messages = ordered[:MESSAGES_KEPT]

    def plain(self) -> dict[str, Any]:
        """As JSON keeps it."""
        return asdict(self)

    @classmethod
    def of(cls, plain: dict[str, Any]) -> Self:
        """From JSON."""
        made = dict(plain)
        made["messages"] = [Message(**one) for one in plain.get("messages", [])]
        made["shown"] = [Shown(**one) for one in plain.get("shown", [])]
        return cls(**made)

"""What laying a board out by a rule comes to, before anything is hung."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tiles.boards.layout import Axis, Candidate, Laid, in_a_row, laid_out


def by_rule(candidates: Sequence[Candidate], across: Axis, down: Axis | None, width: int) -> Laid:
    """The board as a rule lays it out: in rows and columns, or one tile after another in rows of that width."""
    return laid_out(candidates, across, down) if down else in_a_row(candidates, across, width)


def kept_of(laid: Laid, across: Axis, down: Axis | None, glaze: int | None) -> Mapping[str, object]:
    """The rule as a board keeps it, with the levels that head its rows and columns."""
    if down is None:
        return {}
    return {
        "across": across.value,
        "down": down.value,
        "columns": [[level.value, level.words] for level in laid.columns],
        "rows": [[level.value, level.words] for level in laid.rows],
        **({"glaze": glaze} if glaze else {}),
    }


@dataclass(frozen=True, slots=True)
class Outlook:
    """A layout with its tiles' numbers, by key, and those of the tiles it leaves out; of very many, the oldest were not
    looked through."""

    laid: Laid
    labels: Mapping[int, str]
    spare: tuple[str, ...]
    unknown: tuple[str, ...]
    unfired_count: int
    elsewhere: tuple[str, ...]
    passed_over_count: int = 0

    @property
    def hung_count(self) -> int:
        return len(self.laid.hung)

    @property
    def wanted_count(self) -> int:
        return len(self.laid.wanted)

    @property
    def lines(self) -> list[tuple[str, list[str]]]:
        """Row by row the words that head it and the tile's number in each slot; nothing where one is wanted."""
        hung = self.laid.hung
        return [
            (
                level.words,
                [
                    self.labels[hung[row, column]] if (row, column) in hung else ""
                    for column in range(1, len(self.laid.columns) + 1)
                ],
            )
            for row, level in enumerate(self.laid.rows, start=1)
        ]

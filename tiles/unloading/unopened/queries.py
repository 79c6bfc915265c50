"""What judging starts from on every tile of a firing, light enough to be kept on a phone for a full kiln."""

from datetime import datetime
from typing import Any

from firings.models import Firing, User
from tiles.conditions.queries import stacks_of
from tiles.conditions.stack import stack_words
from tiles.models import Outcome, Placement, Tile, Zone
from tiles.unloading.forms import values_sent
from tiles.unloading.queries import Row, Unloading, start_of, unloading_of


def tiles_of(firing: Firing, by: User) -> dict[str, Any]:
    """The tiles with something to judge, each with its zones, and the number of the tile this person judged last.

    A zone is [position, name, stack in words, whether it has texture, the fields that are not empty].
    """
    unloading = unloading_of(firing)
    rows = [row for row in unloading.rows if row.outcomes]
    stacks = stacks_of(outcome.pk for row in rows for outcome in row.outcomes)
    words = {key: stack_words(layers) for key, layers in stacks.items()}
    return {
        "tiles": {row.label: [_zone(outcome, words[outcome.pk]) for outcome in row.outcomes] for row in rows},
        "last": _last_of(unloading, by),
    }


def _zone(outcome: Outcome, words: str) -> list[Any]:
    zone = outcome.zone
    return [zone.position, zone.name, words, outcome.textured, values_sent(outcome, start_of(outcome))]


def _last_of(unloading: Unloading, by: User) -> str:
    mine: list[tuple[datetime, int, str]] = [
        (outcome.judged_at, outcome.pk, row.label)
        for row in unloading.rows
        for outcome in row.outcomes
        if outcome.judged_at and outcome.judged_by_id == by.pk
    ]
    return max(mine)[2] if mine else ""


def blank_row(firing: Firing) -> Row:
    """A row of a tile that is not there, with two zones: the first has a button of its own, all others are alike."""
    tile = Tile(number=0)
    zones = [Outcome(pk=0, tile=tile, zone=Zone(name="", position=0), textured=True) for _ in range(2)]
    return Row(Placement(firing=firing, tile=tile), outcomes=zones)

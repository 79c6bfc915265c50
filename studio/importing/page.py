"""What the page of one spreadsheet shows, from what was found in it."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from studio.importing.fields import Field
from studio.importing.names import KIND_OF_LIST, ONE, WORDS
from studio.importing.report import Grouped, Report, grouped
from studio.importing.told import Told

GROUPS_SHOWN, NAMES_SHOWN = 40, 60
MADE = {"tiles": ("tile", "tiles"), "results": ("result", "results"), "firings": ("firing", "firings")}


@dataclass(frozen=True, slots=True)
class ColumnShown:
    """One column: what it may be taken for, with what is chosen."""

    place: int
    letter: str
    heading: str
    samples: tuple[str, ...]
    why: str
    field: str
    above: bool


@dataclass(frozen=True, slots=True)
class NameShown:
    """A name no record has, and what it may be taken for."""

    kind: str
    kind_words: str
    name: str
    near: str
    taken_for: int
    rows: int
    same_as: str
    alike: Sequence[str]
    choices: Sequence[tuple[int, str]]


def columns_shown(looked: Mapping[str, Any], told: Told, fields: Collection[Field]) -> list[ColumnShown]:
    """The columns, each with why it is taken for what it is; a choice of one's own has no reason."""
    labels = {field.key: field.label for field in fields}
    found = []
    for one in looked["columns"]:
        field = told.columns.get(str(one["place"]), "")
        why = (
            one["why"]
            if field == one["guess"]
            else "as you chose"
            if not looked.get("remembered")
            else "as chosen last time"
        )
        found.append(
            ColumnShown(
                one["place"],
                one["letter"],
                one["heading"],
                tuple(one["samples"]),
                why,
                field if field in labels else "",
                one["place"] in told.above,
            )
        )
    return found


def names_shown(
    unknown: Sequence[Mapping[str, Any]],
    choices: Mapping[str, Sequence[tuple[int, str]]],
    *,
    near_only: bool = False,
) -> list[NameShown]:
    """Names no record has, as many as a page holds; of records all, or only those whose name is `near`."""
    return [
        NameShown(
            one["kind"],
            ONE[one["kind"]],
            one["name"],
            one["near"],
            one["taken_for"],
            one["rows"],
            one.get("same_as", ""),
            one.get("alike", ()),
            [
                (key, words)
                for key, words in choices[one["kind"]]
                if not near_only or words == one["near"] or key == one["taken_for"]
            ],
        )
        for one in unknown[:NAMES_SHOWN]
    ]


@dataclass(frozen=True, slots=True)
class Messages:
    """What is to mend, in groups as many as a page holds, and what is only worth knowing."""

    to_mend: list[Grouped]
    to_know: list[Grouped]
    more: int
    can_mend_here: bool


def messages_shown(report: Report) -> Messages:
    """Messages of a report, those that stop apart from the others."""
    groups = grouped(report.messages)
    stop = [one for one in groups if one.message.stops]
    shown = stop[:GROUPS_SHOWN]
    can_mend = any(one.message.place >= 0 for one in shown)
    return Messages(
        shown,
        [one for one in groups if not one.message.stops][:GROUPS_SHOWN],
        len(stop) - len(shown),
        can_mend,
    )


def made_words(report: Report, holds: str) -> list[str]:
    """What a file makes, in words: 40 tiles and 2 firings, or 3 new glazes.

    holds : what its rows are, one of KINDS
    """
    found = [
        f"{count:,} {one if count == 1 else many}"
        for key, (one, many) in MADE.items()
        if (count := report.counts.get(key, 0))
    ]
    if "record" in report.new:
        kind = KIND_OF_LIST[holds]
        count = len(report.new["record"])
        found.append(f"{count:,} new {ONE[kind] if count == 1 else WORDS[kind]}")
    if report.changed:
        found.append(f"{len(report.changed):,} changed")
    return found


def new_names(report: Report) -> list[tuple[str, list[str]]]:
    """New records by what they are."""
    return [(WORDS[kind], names) for kind, names in report.new.items() if kind in WORDS]


def is_anything(report: Report) -> bool:
    """Whether keeping the file would write anything; a name that no row is left to use is nothing."""
    return bool(report.counts.get("tiles") or "record" in report.new or report.changed)

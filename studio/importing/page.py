"""What the page of one spreadsheet shows, from what was found in it."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from studio.importing.fields import Field
from studio.importing.names import KIND_OF_LIST, ONE, WORDS, may_be
from studio.importing.report import Grouped, Report, grouped
from studio.importing.told import MAKE_NEW, Told

GROUPS_SHOWN, NAMES_SHOWN = 40, 60
# New names in view, and those named at all.
NEW_AT_ONCE, NEW_AT_MOST = 20, 1_000
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
    """A name no record has, and what it may be taken for.

    hint : the record's name that it could be a slip of, where it is to be made new
    """

    kind: str
    kind_words: str
    name: str
    near: str
    taken_for: int
    rows: int
    same_as: str
    alike: Sequence[str]
    choices: Sequence[tuple[int, str]]
    hint: str


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
    """Names no record has, as many as a page holds, those much like another first; of records all, or `near` alone.

    A record whose name is near stands before the others.
    """
    first = sorted(unknown, key=lambda one: not (one["near"] or one.get("alike")))
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
            sorted(
                (
                    (key, words)
                    for key, words in choices[one["kind"]]
                    if not near_only or words == one["near"] or key == one["taken_for"]
                ),
                key=lambda pair: pair[1] != one["near"],
            ),
            one["near"] if _is_left_new(one) and may_be(one["name"], one["near"]) else "",
        )
        for one in first[:NAMES_SHOWN]
    ]


def _is_left_new(one: Mapping[str, Any]) -> bool:
    return one["taken_for"] == MAKE_NEW and not one.get("same_as")


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


@dataclass(frozen=True, slots=True)
class NewNames:
    """New records of one kind: those named at once, those named when asked for, and how many more there are."""

    kind_words: str
    count: int
    names: Sequence[str]
    rest: Sequence[str]
    more: int


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


def new_names(report: Report, holds: str) -> list[NewNames]:
    """New records by what they are; of a list those that its rows name."""
    found = []
    for kind, names in report.new.items():
        of = KIND_OF_LIST[holds] if kind == "record" else kind
        rest = names[NEW_AT_ONCE:NEW_AT_MOST]
        found.append(NewNames(WORDS[of], len(names), names[:NEW_AT_ONCE], rest, len(names[NEW_AT_MOST:])))
    return found


def is_anything(report: Report) -> bool:
    """Whether keeping the file would write anything; a name that no row is left to use is nothing."""
    return bool(report.counts.get("tiles") or "record" in report.new or report.changed)

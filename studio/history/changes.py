"""From versions of records to changes in words: who, when, what, from what to what."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

# What one person wrote within this time of the last thing is one change: a tile with its layers and coats.
ONE_CHANGE = timedelta(seconds=3)

# These say nothing of a record that is new, or of one whose history only begins with its first change.
SILENT_AT_FIRST = frozenset({"no"})
SILENT_WHEN_NEW = frozenset({"no", "0"})

ADDED, CHANGED, REMOVED, BINNED, PUT_BACK = "added", "changed", "removed", "put in the bin", "put back"


@dataclass(frozen=True, slots=True)
class Version:
    """A record as it stood from one moment on.

    record : what tells records apart, the same for all versions of one
    title : what happened to what, in words: Harbour put on; `kind` is +, ~ or - for made, changed, removed
    values : its facts in words, by their labels; an empty word says nothing
    implied : labels of facts that the title tells already when the record is new
    back : the key by which a record can be put back to this version, 0 where it goes back with another record
    """

    record: tuple[str, int]
    title: str
    at: datetime
    who: str
    kind: str
    values: dict[str, str]
    is_binned: bool = False
    back: int = 0
    implied: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Difference:
    """One fact that changed; nothing reads as an empty word."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Entry:
    """What happened to one record. `back` puts it back to how this left it, 0 where it stands so now."""

    record: tuple[str, int]
    title: str
    kind: str
    differences: tuple[Difference, ...]
    back: int = 0


@dataclass(frozen=True, slots=True)
class Change:
    """What one person did at one time."""

    at: datetime
    who: str
    entries: tuple[Entry, ...]

    @property
    def is_long(self) -> bool:
        """Whether it is folded on a page."""
        return len(self.entries) > 4


def differences(before: dict[str, str], after: dict[str, str]) -> tuple[Difference, ...]:
    """The facts that differ, in the order they are written down.

    >>> differences({"run, mm": ""}, {"run, mm": "2"})
    (Difference(label='run, mm', before='', after='2'),)
    """
    return tuple(
        Difference(label, before.get(label, ""), words)
        for label, words in after.items()
        if before.get(label, "") != words
    )


def entry(version: Version, before: Version | None, *, is_last: bool) -> Entry | None:
    """What a version changed; None where nothing in words did."""
    kind = _kind(version, before)
    found = _told(version, before, kind)
    if kind == CHANGED and not found:
        return None
    back = 0 if is_last or kind == REMOVED else version.back
    return Entry(version.record, version.title, kind, found, back)


def _told(version: Version, before: Version | None, kind: str) -> tuple[Difference, ...]:
    """Of a new record what is noteworthy, of a changed one what differs, of a removed one nothing."""
    if kind == REMOVED:
        return ()
    if before is not None:
        return differences(before.values, version.values)
    silent = SILENT_WHEN_NEW if kind == ADDED else SILENT_AT_FIRST
    found = differences({}, version.values)
    return tuple(one for one in found if one.label not in version.implied and one.after not in silent)


def _kind(version: Version, before: Version | None) -> str:
    if version.kind in "+-":
        return ADDED if version.kind == "+" else REMOVED
    was_binned = before.is_binned if before else False
    if version.is_binned != was_binned:
        return BINNED if version.is_binned else PUT_BACK
    return CHANGED


def changes(versions: Iterable[Version]) -> list[Change]:
    """All changes, newest first; `versions` in any order."""
    ordered = sorted(versions, key=lambda version: version.at)
    last = {version.record: version for version in ordered}
    before: dict[tuple[str, int], Version] = {}
    told: list[tuple[Version, Entry]] = []
    for version in ordered:
        found = entry(version, before.get(version.record), is_last=version is last[version.record])
        before[version.record] = version
        if found:
            told.append((version, found))
    return [_change(group) for group in reversed(_gathered(told))]


def _gathered(told: Sequence[tuple[Version, Entry]]) -> list[list[tuple[Version, Entry]]]:
    """Entries of one person close in time, together."""
    groups: list[list[tuple[Version, Entry]]] = []
    for version, found in told:
        last = groups[-1][-1][0] if groups else None
        if last and last.who == version.who and version.at - last.at <= ONE_CHANGE:
            groups[-1].append((version, found))
        else:
            groups.append([(version, found)])
    return groups


def _change(group: Sequence[tuple[Version, Entry]]) -> Change:
    first = group[0][0]
    return Change(first.at, first.who, tuple(found for _, found in group))

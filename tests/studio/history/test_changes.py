"""Versions of records, told as changes in words."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from studio.history.changes import ADDED, BINNED, CHANGED, PUT_BACK, REMOVED, Difference, Version, changes

NOON = datetime(2026, 10, 14, 12, tzinfo=UTC)


def version(
    kind: str, seconds: float, *, who: str = "Rowan", record=("tile", 1), binned=False, **values: str
) -> Version:
    return Version(
        record=record,
        title="",
        at=NOON + timedelta(seconds=seconds),
        who=who,
        kind=kind,
        values=values,
        is_binned=binned,
        back=int(seconds) + 1,
    )


def test_a_change_says_what_stood_there_before():
    first, second = changes([version("~", 60, note="Thin."), version("+", 0, note="")])

    assert (first.who, first.at) == ("Rowan", NOON + timedelta(seconds=60))
    assert first.entries[0].kind == CHANGED
    assert first.entries[0].differences == (Difference("note", "", "Thin."),)
    assert second.entries[0].kind == ADDED


def test_the_first_version_of_something_older_than_its_history_is_told_against_nothing():
    (only,) = changes([version("~", 0, surface="satin", remark="")])

    assert only.entries[0].differences == (Difference("surface", "", "satin"),)


def test_a_save_that_changed_nothing_is_not_told():
    found = changes([version("+", 0, note="Thin."), version("~", 60, note="Thin.")])

    assert len(found) == 1


def test_a_tile_and_its_layers_made_at_once_are_one_change():
    (only,) = changes(
        [version("+", 0), version("+", 1, record=("layer", 1)), version("+", 2, record=("layer", 2))]
    )

    assert len(only.entries) == 3


def test_two_people_at_the_same_time_made_two_changes():
    found = changes([version("+", 0), version("+", 1, who="Kit", record=("layer", 1))])

    assert [change.who for change in found] == ["Kit", "Rowan"]


def test_into_the_bin_and_out_of_it_are_told_by_name():
    found = changes([version("+", 0), version("~", 60, binned=True), version("~", 120)])

    assert [change.entries[0].kind for change in found] == [PUT_BACK, BINNED, ADDED]


def test_what_was_removed_lists_no_facts():
    (removed, _) = changes([version("+", 0, coats="2"), version("-", 60, coats="2")])

    assert (removed.entries[0].kind, removed.entries[0].differences) == (REMOVED, ())


def test_a_record_can_be_put_back_to_all_its_versions_but_the_one_that_stands():
    found = changes([version("+", 0, note="a"), version("~", 60, note="b"), version("~", 120, note="c")])

    assert [change.entries[0].back for change in found] == [0, 61, 1]


def test_of_something_new_only_what_is_noteworthy_is_told():
    made = version("+", 0, glaze="Harbour", coats="2", runner="no")
    (only,) = changes([replace(made, implied=frozenset({"glaze"}))])

    assert only.entries[0].differences == (Difference("coats", "", "2"),)

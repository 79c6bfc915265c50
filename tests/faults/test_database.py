"""A database that refuses, is full, is held, or is gone: words for the person, and nothing half kept."""

import sqlite3
from contextlib import contextmanager

import pytest
from django.conf import settings
from django.db import connection

from studio.trouble import signs
from tests.faults.conftest import no_glaze_is_half_kept, told
from tiles.models import Glaze

pytestmark = pytest.mark.django_db(transaction=True)

on_sqlite_only = pytest.mark.skipif(not settings.ON_SQLITE, reason="made by SQLite's own limits")
on_postgres_only = pytest.mark.skipif(settings.ON_SQLITE, reason="SQLite has no connection to break")


def says(page: str, trouble: signs.Trouble) -> bool:
    return trouble.heading in page and trouble.words in page


def read_only():
    if settings.ON_SQLITE:
        return told("PRAGMA query_only = 1", afterwards=("PRAGMA query_only = 0",))
    return told(
        "SET SESSION CHARACTERISTICS AS TRANSACTION READ ONLY",
        afterwards=("SET SESSION CHARACTERISTICS AS TRANSACTION READ WRITE",),
    )


def test_on_a_disk_that_can_only_be_read_pages_are_shown_and_nothing_is_half_kept(
    keeps_a_glaze, recorder_client
):
    with read_only():
        status, page = keeps_a_glaze()
        looked_at = recorder_client.get("/catalogue/")

    assert status == 503
    assert says(page, signs.READ_ONLY)
    assert looked_at.status_code == 200
    assert no_glaze_is_half_kept()
    assert keeps_a_glaze()[0] == 302


@on_sqlite_only
def test_a_full_disk_keeps_nothing_half_and_says_who_can_help(keeps_a_glaze):
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")  # or pages that are free by now would take it
        [pages] = cursor.execute("PRAGMA page_count").fetchone()
    with told(f"PRAGMA max_page_count = {pages}", afterwards=("PRAGMA max_page_count = 1073741823",)):
        answers = [keeps_a_glaze()]
        while answers[-1][0] == 302:
            answers.append(keeps_a_glaze(name=f"Harbour {len(answers)}", note="A long note. " * 40))

    status, page = answers[-1]
    assert status == 507
    assert says(page, signs.DISK_FULL)
    assert Glaze.everything.count() == Glaze.history.count() == len(answers) - 1


@contextmanager
def held_by_another():
    """Another program writes and takes its time; ours waits for a twentieth of a second."""
    if settings.ON_SQLITE:
        other = sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)
        held = told("PRAGMA busy_timeout = 50", afterwards=("PRAGMA busy_timeout = 20000",))
        statement = "BEGIN IMMEDIATE"
    else:
        other = connection.copy()
        held = told("SET lock_timeout = 50", afterwards=("SET lock_timeout = 0",))
        statement = "BEGIN; LOCK TABLE tiles_glaze IN ACCESS EXCLUSIVE MODE"
    try:
        other.cursor().execute(statement)
        with held:
            yield
    finally:
        other.close()


def test_a_database_held_by_another_program_asks_to_send_it_again(keeps_a_glaze):
    with held_by_another():
        status, page = keeps_a_glaze()

    assert status == 503
    assert says(page, signs.BUSY)
    assert no_glaze_is_half_kept()
    assert keeps_a_glaze()[0] == 302


@on_postgres_only
def test_a_connection_lost_in_the_midst_of_keeping_keeps_nothing(keeps_a_glaze):
    def break_off(execute, statement, params, many, context):
        if statement.startswith('INSERT INTO "tiles_historicalglaze"'):
            other = connection.copy()
            with other.cursor() as cursor:
                cursor.execute("SELECT pg_terminate_backend(%s)", [connection.connection.info.backend_pid])
            other.close()
        return execute(statement, params, many, context)

    with connection.execute_wrapper(break_off):
        status, page = keeps_a_glaze()
    connection.close()  # as at the beginning of every request

    assert status == 503
    assert says(page, signs.NO_DATABASE)
    assert no_glaze_is_half_kept()
    assert keeps_a_glaze()[0] == 302


@on_sqlite_only
def test_a_data_disk_that_is_gone_for_a_while_says_so(keeps_a_glaze, tmp_path):
    place = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = str(tmp_path / "not mounted" / "tilewright.sqlite3")
    try:
        status, page = keeps_a_glaze()
    finally:
        connection.close()
        connection.settings_dict["NAME"] = place

    assert status == 503
    assert says(page, signs.NO_DATABASE)
    assert keeps_a_glaze()[0] == 302

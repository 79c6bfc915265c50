"""Faults made for real where they can be made: the database refuses, breaks off, or is held by another."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from django.db import connection
from django.test import Client

from tests.tiles.catalogue.test_pages import GLAZE
from tiles.models import Glaze

ADD_GLAZE = "/catalogue/glazes/new/"


@contextmanager
def told(*statements: str, afterwards: tuple[str, ...]) -> Iterator[None]:
    """Tell the database something for a while."""
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            for statement in afterwards:
                cursor.execute(statement)


@pytest.fixture
def keeps_a_glaze(recorder) -> Callable[..., tuple[int, str]]:
    """Send the form for a new glaze; the status and the page that came."""
    client = Client(raise_request_exception=False)
    client.force_login(recorder)

    def send(**changed: str) -> tuple[int, str]:
        answer = client.post(ADD_GLAZE, GLAZE | changed)
        return answer.status_code, answer.content.decode()

    return send


def no_glaze_is_half_kept() -> bool:
    """Neither the glaze nor a line of its history."""
    return not Glaze.everything.exists() and not Glaze.history.exists()

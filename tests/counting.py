"""How many queries a page asks: it must not grow with what the page shows."""

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext


def queries_of(client: Client, address: str, **sent: object) -> int:
    """The number of queries one visit asks, the session's among them; the page must answer."""
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(address, **sent)
    assert answer.status_code == 200
    return len(asked)

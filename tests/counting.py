"""How many queries a page asks: it must not grow with what the page shows."""

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from studio.people.rights.queries import Rights


def queries_of(client: Client, address: str, **sent: object) -> int:
    """The number of queries one visit asks, the session's among them; the page must answer."""
    if settings.SESSION_COOKIE_NAME in client.cookies and (person := client.session.get(SESSION_KEY)):
        # What rights are called is asked once in a process: by the first visit, whichever test that is in.
        Rights().get_user(person)
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(address, **sent)
    assert answer.status_code == 200
    return len(asked)

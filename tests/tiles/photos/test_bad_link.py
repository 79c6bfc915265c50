"""Photos through a link that fails: each arrives, none twice, and nothing half."""

import http.client
import random
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.test import Client

from tests.tiles.photos import corpus
from tiles.models import Photo
from tiles.photos.queries import original_path

PHOTOS = 60
SHARE_THAT_FAILS = 0.3


class Link:
    """A phone's way to the studio: some requests never leave, some break off half way, some answers are lost."""

    def __init__(self, address: str, client: Client, chance: random.Random) -> None:
        self.host = urlsplit(address).netloc
        client.get("/account/")
        session = client.cookies[settings.SESSION_COOKIE_NAME].value
        token = "t" * 32
        self.headers = {
            "Cookie": f"{settings.SESSION_COOKIE_NAME}={session}; {settings.CSRF_COOKIE_NAME}={token}",
            "X-CSRFToken": token,
            "Accept": "application/json",
            "Content-Type": "application/octet-stream",
        }
        self.chance, self.failed = chance, 0

    def send(self, content: bytes) -> int | None:
        """Send one photo; the status of the answer, None where the link failed."""
        how = (
            self.chance.choice(["unsent", "cut", "unheard"])
            if self.chance.random() < SHARE_THAT_FAILS
            else ""
        )
        self.failed += bool(how)
        if how == "unsent":
            return None
        connection = http.client.HTTPConnection(self.host, timeout=30)
        try:
            connection.putrequest("POST", "/photos/receive/")
            for name, value in {**self.headers, "Content-Length": str(len(content))}.items():
                connection.putheader(name, value)
            connection.endheaders(content[: len(content) // 2] if how == "cut" else content)
            return None if how == "cut" else self.answered(connection, how)
        finally:
            connection.close()

    @staticmethod
    def answered(connection: http.client.HTTPConnection, how: str) -> int | None:
        """The answer's status; an answer that is lost has been given all the same."""
        answer = connection.getresponse()
        answer.read()
        return None if how == "unheard" else answer.status


@pytest.mark.django_db(transaction=True)
def test_sixty_photos_through_a_link_that_fails_thirty_times_in_a_hundred(
    live_server, recorder_client, files_kept, photo_store
):
    link = Link(live_server.url, recorder_client, random.Random(7))
    photos = [corpus.noisy_jpeg(64, 48, seed=number) for number in range(PHOTOS)]
    for photo in photos:
        answers = iter(lambda photo=photo: link.send(photo), 201)
        assert all(answer is None for answer in answers)

    assert link.failed > 10
    assert Photo.objects.count() == PHOTOS
    assert {original_path(photo).read_bytes() for photo in Photo.objects.all()} == set(photos)
    assert len(files_kept()) == PHOTOS
    assert list((photo_store / "arriving").iterdir()) == []

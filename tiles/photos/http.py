"""Photos in requests: how their bytes come in, those left out because they are too large, and how to answer."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any, BinaryIO, cast

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, SkipFile, StopFutureHandlers
from django.http import HttpRequest, HttpResponse, UnreadablePostError

from firings.http import is_within
from tiles.photos.accept import MEDIA_TYPES
from tiles.photos.queries import photo_store
from tiles.photos.store import Arrival

# The field of a form in which photos come.
PHOTO_FIELD = "photo"
# What a photo is sent as when it is all of a request.
ALONE = ("application/octet-stream", *MEDIA_TYPES.values())
# A rendition’s bytes never change.
FOR_A_YEAR = "private, max-age=31536000, immutable"


class LeaveOutTooLarge(FileUploadHandler):
    """Stop keeping an uploaded file once it is larger than a photo may be; `left_out` names those on the request."""

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        """Pass the bytes on, up to the bound."""
        if start + len(raw_data) > settings.PHOTO_MAX_BYTES:
            left_out(self.request).append(self.file_name or "")
            raise SkipFile
        return raw_data

    def file_complete(self, file_size: int) -> None:
        """Leave making the file to the next handler."""
        return


class ArrivedPhoto(UploadedFile):
    """A photo that came with a request; it goes away with the request unless it is kept."""

    def __init__(self, arrival: Arrival | None, trouble: OSError | None, *of_file: Any) -> None:
        super().__init__(arrival.file if arrival else None, *of_file)
        self.arrival, self.trouble = arrival, trouble

    def close(self) -> None:
        """Let go of it; what was not kept is deleted."""
        if self.arrival is not None:
            self.arrival.close()


class KeepArriving(FileUploadHandler):
    """Write an uploaded photo straight to where the store's files arrive, hashed on the way: it is written once.

    A disk that refuses is told by `arrived`, when the request is understood and can be answered.
    """

    def __init__(self, request: HttpRequest | None = None) -> None:
        super().__init__(request)
        self.arrivals: list[Arrival] = []
        self.trouble: OSError | None = None

    def new_file(self, *of_file: Any, **more: Any) -> None:
        """Take this file if it is a photo, and leave it to no other handler."""
        super().new_file(*of_file, **more)
        if self.field_name != PHOTO_FIELD:
            return
        self.trouble = None
        try:
            self.arrivals.append(photo_store().arrive())
        except OSError as trouble:
            self.trouble = trouble
        raise StopFutureHandlers

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        """Write the bytes of a photo; those of another file are for the next handler."""
        if self.field_name != PHOTO_FIELD:
            return raw_data
        try:
            if self.trouble is None:
                self.arrivals[-1].write(raw_data)
        except OSError as trouble:
            self.trouble = trouble
        return None

    def file_complete(self, file_size: int) -> UploadedFile | None:
        """The photo, or what kept it from being written."""
        if self.field_name != PHOTO_FIELD:
            return None
        arrival = self.arrivals[-1] if self.trouble is None else None
        return ArrivedPhoto(arrival, self.trouble, self.file_name, self.content_type, file_size, self.charset)

    @property
    def file(self) -> Arrival:
        """What to close when a photo is left out after all."""
        if not self.arrivals:
            raise AttributeError
        return self.arrivals[-1]

    def upload_interrupted(self) -> None:
        """The sender went away: nothing of it stays."""
        for arrival in self.arrivals:
            arrival.close()


def is_sent_alone(request: HttpRequest) -> bool:
    """Whether the request's body is a photo and nothing else, with what it shows in the address."""
    return request.content_type in ALONE


@contextmanager
def sent_alone(request: HttpRequest) -> Iterator[list[UploadedFile]]:
    """The photo that is the request's body, written as it comes in; none when it is too large.

    It spares taking a form apart, a fifth of what a photo costs here. What was not kept is gone afterwards.
    """
    name, byte_count = _name_in(request.GET.get("name", "")), _byte_count(request)
    if byte_count > settings.PHOTO_MAX_BYTES:
        left_out(request).append(name)
        yield []
        return
    photo = _written(request, name, byte_count)
    try:
        yield [photo]
    finally:
        photo.close()


def _name_in(said: str) -> str:
    """The last part of what the photo is called; a name for one that says none."""
    last = said.replace("\\", "/").rpartition("/")[2]
    return last if last.strip(". ") else "photo"


def _byte_count(request: HttpRequest) -> int:
    with suppress(ValueError):
        return int(request.headers.get("Content-Length") or 0)
    return 0


def _written(request: HttpRequest, name: str, byte_count: int) -> ArrivedPhoto:
    """The body on the disk, or what kept it from being written.

    Raises UnreadablePostError when the sender goes away.
    """
    arrival, trouble = None, None
    try:
        arrival = photo_store().arrive()
        arrival.write_all(request)
        if arrival.byte_count != byte_count:
            raise UnreadablePostError("the sender went away")
    except OSError as failed:
        if arrival:
            arrival.close()
        if isinstance(failed, UnreadablePostError):
            raise
        arrival, trouble = None, failed
    return ArrivedPhoto(arrival, trouble, name, request.content_type, byte_count, None)


def arrived(upload: UploadedFile) -> BinaryIO | Arrival:
    """What was uploaded, to be stored. Raises OSError when the disk refused it as it came in."""
    if not isinstance(upload, ArrivedPhoto):
        return cast(BinaryIO, upload.file)
    if upload.arrival is None:
        raise upload.trouble or OSError("the photo was not written")
    return upload.arrival


def placeholder() -> HttpResponse:
    """A quiet grey in place of a photo that is being prepared; no browser keeps it."""
    return HttpResponse(PLACEHOLDER, content_type="image/svg+xml", headers={"Cache-Control": "no-store"})


PLACEHOLDER = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 30"><rect width="40" height="30" fill="#767676"/>'
    '<circle cx="14" cy="15" r="1.5" fill="#fff"/><circle cx="20" cy="15" r="1.5" fill="#fff"/>'
    '<circle cx="26" cy="15" r="1.5" fill="#fff"/></svg>'
)


def left_out(request: HttpRequest | None) -> list[str]:
    """Names of the files that were left out of this request as too large."""
    names: list[str] = request.__dict__.setdefault("files_left_out", []) if request is not None else []
    return names


def wants_json(request: HttpRequest) -> bool:
    """Whether a script asks, not a person's browser."""
    return request.get_preferred_type(["text/html", "application/json"]) == "application/json"


def way_back(request: HttpRequest, otherwise: str) -> str:
    """The page to go on with: the one the form names, else the one it stood on, if they are of this site."""
    for address in (request.POST.get("next", ""), request.headers.get("Referer", "")):
        if is_within(request, address):
            return address
    return otherwise

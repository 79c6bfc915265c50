"""Photos in requests: files left out while they arrive because they are too large, and how to answer."""

from django.conf import settings
from django.core.files.uploadhandler import FileUploadHandler, SkipFile
from django.http import HttpRequest

from firings.http import is_within


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

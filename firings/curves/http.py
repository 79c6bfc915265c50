"""Logger files in requests."""

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest

from firings.http import StudioRequest
from firings.programmes.segments import Unit


def refusal_of(request: HttpRequest, file: UploadedFile | None) -> str:
    """Why what was sent cannot be looked at; empty where it can.

    Larger files are dropped as they arrive, by the first of the upload handlers, so that they do not fill the disk.
    """
    most_mb = settings.PHOTO_MAX_BYTES // 2**20
    if getattr(request, "files_left_out", None) or (file and (file.size or 0) > settings.PHOTO_MAX_BYTES):
        return f"The file is larger than {most_mb} MB. Log less often, or cut it."
    if file is None:
        return "Choose the logger’s file first."
    if not file.size:
        return "The file is empty. Export the log again."
    return ""


def unit_of(request: StudioRequest) -> Unit:
    """How the studio writes temperatures."""
    return Unit(request.preferences.temperature_unit)

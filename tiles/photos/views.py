"""Photographs arriving and looked at."""

import logging
from dataclasses import dataclass

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, say
from firings.words import listed
from tiles.models import Photo, PhotoFiling
from tiles.photos import services
from tiles.photos.accept import MEDIA_TYPES
from tiles.photos.forms import ShownForm
from tiles.photos.http import (
    FOR_A_YEAR,
    arrived,
    is_sent_alone,
    left_out,
    placeholder,
    sent_alone,
    wants_json,
    way_back,
)
from tiles.photos.renditions import MEDIA_TYPE, Size
from tiles.tray import queries
from tiles.tray import services as tray
from tiles.tray.http import gone_from_tray, photo_page, say_filed, tray_page

log = logging.getLogger(__name__)

DISK_REFUSED = (
    "The studio’s machine could not write the photo; its disk may be full. Keep the photo, tell the keeper, "
    "and send it again later."
)


@dataclass(frozen=True, slots=True)
class Receipt:
    """What became of one file that was sent."""

    name: str
    photo: Photo | None = None
    filed: PhotoFiling | None = None
    refusal: str = ""
    status: int = 201
    elsewhere: str = ""

    @property
    def state(self) -> str:
        """What became of a photo that is kept."""
        if self.photo and self.photo.damage:
            return "damaged"
        if self.elsewhere:
            return "elsewhere"
        return "filed" if self.filed else "stored"

    def as_json(self) -> dict[str, object]:
        """For the queue on the phone: the state in a word, and the words to show."""
        if self.photo is None:
            return {"state": "refused" if self.status < 500 else "unsent", "reason": self.refusal}
        sha256 = self.photo.sha256
        addresses = {
            size.value: reverse("tiles:photos:rendition", args=[sha256, size.value]) for size in Size
        }
        page = reverse("tiles:photos:photo", args=[sha256])
        return {
            "state": self.state,
            "reason": self.photo.damage or self.elsewhere or ("" if self.filed else self.photo.tray_reason),
            "tile": self.filed.tile.label if self.filed else "",
            "photo": {"sha256": sha256, "page": page, **addresses},
        }


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("tiles.add_photo", raise_exception=True)
def receive(request: StudioRequest) -> HttpResponse:
    """Take in photos: one a request from the queue on the phone, several from a form without scripts."""
    if request.method == "GET":
        return redirect("tiles:tray:tray")
    receipts = _receipts(request)
    if wants_json(request):
        return JsonResponse(receipts[0].as_json(), status=receipts[0].status)
    for receipt in receipts:
        _say_kept(request, receipt)
    refused = [receipt for receipt in receipts if receipt.refusal]
    if refused:
        return tray_page(request, refused=refused, status=422)
    return redirect(way_back(request, reverse("tiles:tray:tray")))


def _receipts(request: StudioRequest) -> list[Receipt]:
    """What became of each file in the request; at least one line, since silence is no answer."""
    if is_sent_alone(request):
        with sent_alone(request) as uploads:
            return _receipts_of(request, uploads)
    uploads = request.FILES.getlist("photo")
    if wants_json(request) and len(uploads) > 1:
        return [Receipt("", refusal="Send one photo at a time.", status=400)]
    return _receipts_of(request, uploads)


def _receipts_of(request: StudioRequest, uploads: list[UploadedFile]) -> list[Receipt]:
    most_mb = settings.PHOTO_MAX_BYTES // 2**20
    too_large = (
        f"This file is too large: a photo may have {most_mb} MB. Save it as a smaller JPEG and send that."
    )
    found = [_receive_one(request, upload) for upload in uploads]
    found += [Receipt(name, refusal=too_large, status=413) for name in left_out(request)]
    return found or [Receipt("", refusal="No photo came along. Choose or take one first.", status=400)]


def _receive_one(request: StudioRequest, upload: UploadedFile) -> Receipt:
    """Keep one photo. What it was sent for may be gone by now: that never costs the photo."""
    shown = ShownForm(request.GET if is_sent_alone(request) else request.POST)
    wanted = shown.cleaned_data if shown.is_valid() else {"anyway": False, "sent_from": shown.sent_from()}
    name = upload.name or ""
    try:
        photo = services.store_photo(arrived(upload), by=request.user, name=name, **wanted)
    except services.PhotoRefused as refused:
        return Receipt(name, refusal=refused.reason, status=422)
    except OSError:
        log.exception("a photo could not be written")
        return Receipt(name, refusal=DISK_REFUSED, status=507)
    filings = list(queries.filings_of(photo).order_by("-filed_at"))
    filed = next(iter(filings), None)
    if shown.errors and not filed:
        tray.leave_in_tray(photo, f"It was sent with a tile, but: {shown.problem()}")
    wanted_tile = wanted.get("tile")
    if wanted_tile and filings and wanted_tile not in {each.tile for each in filings}:
        return Receipt(name, photo, filed, elsewhere=_is_elsewhere(filings))
    return Receipt(name, photo, filed)


def _is_elsewhere(filings: list[PhotoFiling]) -> str:
    labels = list(dict.fromkeys(filing.tile.label for filing in filings))
    return f"This photo is on tile {listed(labels)} already, so it was not put here."


def _say_kept(request: StudioRequest, receipt: Receipt) -> None:
    if receipt.elsewhere and receipt.photo:
        messages.warning(
            request, f"{receipt.elsewhere} If it shows this tile too, say so on the photo’s own page."
        )
    elif receipt.filed:
        say_filed(request, receipt.filed, f"The photo is kept with tile {receipt.filed.tile.label}.")
    elif receipt.photo and receipt.photo.looked_at is None:
        say(
            request,
            "The photo is stored. It goes to its tile by itself when the tile’s code or number is in view.",
        )
    elif receipt.photo:
        say(request, f"The photo is in the sorting tray. {receipt.photo.tray_reason}")


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def rendition(request: StudioRequest, sha256: str, size: str) -> HttpResponse | FileResponse:
    """A photo at one size, without anything the camera noted. Its bytes never change, so it is kept for a year.

    Until it has been prepared a quiet grey stands for it, which no browser keeps.
    """
    photo = get_object_or_404(Photo.everything, sha256=sha256)
    try:
        if services.is_still_to_come(photo, size):
            return placeholder()
        picture = services.rendition_path(photo, size).open("rb")
    except FileNotFoundError:
        log.error("the original of photo %s is missing", sha256)
        raise Http404("The photo’s file is missing.") from None
    return FileResponse(picture, content_type=MEDIA_TYPE, headers={"Cache-Control": FOR_A_YEAR})


@require_safe
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def original(request: StudioRequest, sha256: str) -> FileResponse:
    """The file as it came from the camera, with all the camera noted: for those who may change photos only."""
    photo = get_object_or_404(Photo.everything, sha256=sha256)
    place = services.original_path(photo)
    if not place.exists():
        raise Http404("The photo’s file is missing.")
    return FileResponse(
        place.open("rb"),
        as_attachment=True,
        filename=photo.original_name or place.name,
        content_type=MEDIA_TYPES[photo.format],
        headers={"Cache-Control": "private, no-store"},
    )


@require_safe
@login_required
@permission_required("tiles.view_photo", raise_exception=True)
def show(request: StudioRequest, sha256: str) -> HttpResponse:
    """One photo as large as the window, with the tiles it shows."""
    return photo_page(request, get_object_or_404(Photo.everything.select_related("stored_by"), sha256=sha256))


@require_POST
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def bin_photo(request: StudioRequest, sha256: str) -> HttpResponse:
    """Put a photo in the bin, for 30 days."""
    photo = services.bin_photo(get_object_or_404(Photo, sha256=sha256), by=request.user)
    say(request, "The photo is in the bin.", undo_url=reverse("tiles:photos:unbin", args=[photo.sha256]))
    return gone_from_tray(request)


@require_POST
@login_required
@permission_required("tiles.change_photo", raise_exception=True)
def unbin(request: StudioRequest, sha256: str) -> HttpResponse:
    """Take a photo out of the bin, filed as it was."""
    services.unbin_photo(get_object_or_404(Photo.everything.filter(binned_at__isnull=False), sha256=sha256))
    say(request, "The photo is back.")
    return redirect(way_back(request, reverse("tiles:tray:tray")))

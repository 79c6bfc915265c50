"""Answers the tray and the photos' own pages share."""

from collections.abc import Sequence

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from firings.http import StudioRequest, say
from tiles.models import Photo, PhotoFiling
from tiles.photos.http import way_back
from tiles.tray import queries

IN_TRAY_AT_ONCE = 40


def tray_page(request: StudioRequest, *, refused: Sequence[object] = (), status: int = 200) -> HttpResponse:
    """The sorting tray, with what was refused just now, if anything."""
    page = Paginator(queries.in_tray(), IN_TRAY_AT_ONCE).get_page(request.GET.get("page"))
    return render(request, "tiles/tray/tray.html", {"page": page, "refused": refused}, status=status)


def photo_page(request: StudioRequest, photo: Photo, *, status: int = 200, **told: str) -> HttpResponse:
    """One photo large, with the tiles it shows."""
    page = {"photo": photo, "filings": queries.filings_of(photo), **told}
    return render(request, "tiles/photos/photo.html", page, status=status)


def say_filed(request: StudioRequest, filed: PhotoFiling, words: str) -> None:
    """Announce a filing, with its undo."""
    say(request, words, undo_url=reverse("tiles:tray:unfile", args=[filed.pk]))


def gone_from_tray(request: StudioRequest) -> HttpResponse:
    """After a photo was dealt with: for htmx nothing in its place and the news, else the page it stood on."""
    if request.htmx:
        return render(request, "tiles/tray/_gone.html")
    return redirect(way_back(request, reverse("tiles:tray:tray")))

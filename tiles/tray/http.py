"""Answers the tray and the photos' own pages share."""

from collections.abc import Sequence
from datetime import timedelta

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from firings.http import StudioRequest, say
from tiles.models import Photo, PhotoFiling
from tiles.photos.http import way_back
from tiles.tray import queries
from tiles.tray.shooting import queries as shooting

IN_TRAY_AT_ONCE = 40
# Undo while sorting goes back this far; what is older is taken back on the photo's page.
UNDONE_WITHIN = timedelta(hours=1)


def tray_page(
    request: StudioRequest, *, refused: Sequence[object] = (), status: int = 200, **told: object
) -> HttpResponse:
    """The sorting tray, with what was refused just now, if anything."""
    page = Paginator(queries.in_tray(), IN_TRAY_AT_ONCE).get_page(request.GET.get("page"))
    suggested = shooting.suggestions()
    rows = [(photo, suggested.get(photo.pk)) for photo in page]
    shown = {"page": page, "rows": rows, "suggested": len(suggested), "refused": refused, **told}
    shown["of_firing"] = request.GET.get("firing", "")
    shown["firings"] = queries.firings_to_photograph(request.GET.get("firing", ""))
    return render(request, "tiles/tray/tray.html", shown, status=status)


def photo_page(request: StudioRequest, photo: Photo, *, status: int = 200, **told: str) -> HttpResponse:
    """One photo large, with the tiles it shows."""
    page = {"photo": photo, "filings": queries.filings_of(photo), **told}
    return render(request, "tiles/photos/photo.html", page, status=status)


def sorting_page(request: StudioRequest, sha256: str = "", *, status: int = 200, **told: str) -> HttpResponse:
    """One waiting photo large and all that files it; for htmx only that piece, with the news."""
    page = {
        "sorting": queries.sorting(sha256),
        "last": queries.last_filed_by(request.user, UNDONE_WITHIN, timezone.now()),
        **told,
    }
    template = "tiles/tray/_sorted.html" if request.htmx else "tiles/tray/sort.html"
    return render(request, template, page, status=status)


def say_filed(request: StudioRequest, filed: PhotoFiling, words: str) -> None:
    """Announce a filing, with its undo."""
    say(request, words, undo_url=reverse("tiles:tray:unfile", args=[filed.pk]))


def say_filed_together(request: StudioRequest, filings: Sequence[PhotoFiling], words: str) -> None:
    """Announce several filings, with one undo for all."""
    if len(filings) == 1:
        say_filed(request, filings[0], words)
        return
    these = ",".join(str(filed.pk) for filed in filings)
    say(request, words, undo_url=f"{reverse('tiles:tray:unfile_together')}?these={these}")


def gone_from_tray(request: StudioRequest) -> HttpResponse:
    """After a photo was dealt with: for htmx nothing in its place and the news, else the page it stood on."""
    if request.htmx:
        return render(request, "tiles/tray/_gone.html")
    return redirect(way_back(request, reverse("tiles:tray:tray")))

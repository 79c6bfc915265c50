"""Public pages for anybody, and what a keeper does about them."""

from hashlib import sha256 as digest
from http import HTTPStatus

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required, permission_required
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_POST, require_safe

from firings.http import StudioRequest, say, way_on
from tiles.models import Photo, PublicPage
from tiles.photos.http import placeholder
from tiles.photos.renditions import MEDIA_TYPE, Size
from tiles.photos.services import is_still_to_come, rendition_path
from tiles.public import queries, services
from tiles.public.forms import PublishForm
from tiles.public.seal import WHOLE, is_sealed
from tiles.tray.parts.services import part_path
from tiles.tray.queries import shares_of

# Looked at anew each time, so that a page that was withdrawn is gone at once; what stands so still is not sent again.
ASK_EACH_TIME = "no-cache"
FOR_AN_HOUR = "private, max-age=3600"


@require_safe
def page(request: StudioRequest, token: str) -> HttpResponse:
    """What was made public under this address; whoever looks, it shows the same."""
    found = get_object_or_404(PublicPage.objects.select_related("tile", "glaze", "board"), token=token)
    answer = _answer(request, found)
    answer["X-Robots-Tag"] = "noindex, nofollow"
    answer["ETag"], answer["Cache-Control"] = f'"{digest(answer.content).hexdigest()[:32]}"', ASK_EACH_TIME
    if answer.status_code != HTTPStatus.OK:
        return answer
    return get_conditional_response(request, etag=answer["ETag"], response=answer) or answer


def _answer(request: StudioRequest, found: PublicPage) -> HttpResponse:
    if not PublicPage.objects.standing().filter(pk=found.pk).exists():
        return render(request, "tiles/public/withdrawn.html", {"page": found}, status=HTTPStatus.GONE)
    return render(request, *_shown(request, found))


def _shown(request: StudioRequest, page: PublicPage) -> tuple[str, dict[str, object]]:
    """The template and what it shows."""
    if page.tile:
        return "tiles/public/tile.html", {
            "page": page,
            "shown": queries.tile_shown(page, page.tile, request.preferences),
        }
    if page.glaze:
        return "tiles/public/sheet.html", {"page": page, "shown": queries.sheet_shown(page)}
    return "tiles/public/board.html", {
        "page": page,
        "shown": queries.board_shown(page, request.preferences),
    }


@require_safe
def photo(
    request: StudioRequest, token: str, sha256: str, share: str, sealed: str, size: str
) -> HttpResponse | FileResponse:
    """A rendition of a photo on a page that is public now; the seal says that it is one of its own."""
    if not is_sealed(sealed, settings.SECRET_KEY, token, sha256, share):
        raise Http404("No such photo on a public page.")
    get_object_or_404(PublicPage.objects.standing(), token=token)
    found = get_object_or_404(Photo.objects.filter(damage=""), sha256=sha256)
    try:
        if is_still_to_come(found, Size.LARGE if share != WHOLE else size):
            return placeholder()
        picture = _picture(found, share, size)
    except FileNotFoundError:
        raise Http404("The photo’s file is missing.") from None
    return FileResponse(picture, content_type=MEDIA_TYPE, headers={"Cache-Control": FOR_AN_HOUR})


def _picture(photo: Photo, share: str, size: str) -> object:
    if share == WHOLE:
        return rendition_path(photo, size).open("rb")
    wanted = next((one for one in shares_of(photo) if one.written == share), None)
    if wanted is None:
        raise FileNotFoundError("no tile is filed with this part any more")
    return part_path(photo, wanted, size).open("rb")


@require_safe
@login_required
@permission_required("tiles.publish", raise_exception=True)
def pages(request: StudioRequest) -> HttpResponse:
    """Everything that is public or was, with its address."""
    return render(request, "tiles/public/pages.html", {"pages": queries.pages()})


@require_POST
@login_required
@permission_required("tiles.publish", raise_exception=True)
def publish(request: StudioRequest) -> HttpResponse:
    """Make one thing public."""
    form = PublishForm(request.POST)
    if not form.is_valid():
        messages.error(request, " ".join(str(one) for errors in form.errors.values() for one in errors))
        return redirect("tiles:public:pages")
    found = services.publish(by=request.user, **form.cleaned_data["of"])
    _say(request, found, "is public")
    return redirect("tiles:public:pages")


@require_POST
@login_required
@permission_required("tiles.publish", raise_exception=True)
def withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    """Close a public page at once."""
    found = services.withdraw(get_object_or_404(PublicPage, pk=pk), by=request.user)
    say(request, f"{_words(found)} is no longer public.", undo_url=reverse("tiles:public:open", args=[pk]))
    return redirect(way_on(request, reverse("tiles:public:pages")))


@require_POST
@login_required
@permission_required("tiles.publish", raise_exception=True)
def open_again(request: StudioRequest, pk: int) -> HttpResponse:
    """Make a page public once more, under its old address."""
    found = services.open_again(get_object_or_404(PublicPage, pk=pk), by=request.user)
    _say(request, found, "is public again")
    return redirect(way_on(request, reverse("tiles:public:pages")))


def _say(request: StudioRequest, page: PublicPage, what: str) -> None:
    say(request, f"{_words(page)} {what}.", undo_url=reverse("tiles:public:withdraw", args=[page.pk]))


def _words(page: PublicPage) -> str:
    words = str(page)
    return f"{words[:1].upper()}{words[1:]}"

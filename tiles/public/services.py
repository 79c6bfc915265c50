"""Make something public, and take it back."""

import secrets

from django.db import transaction
from django.utils import timezone

from firings.models import User
from tiles.models import Board, Glaze, PublicPage, Tile

# 128 bits: nobody guesses an address.
TOKEN_BYTES = 16


@transaction.atomic
def publish(
    *,
    by: User,
    tile: Tile | None = None,
    glaze: Glaze | None = None,
    query: str = "",
    board: Board | None = None,
) -> PublicPage:
    """Let anybody with the address look at a tile, a glaze's range sheet or a board.

    What was public before comes back under its old address, so that printed codes work again.
    """
    page, _ = PublicPage.objects.select_for_update(of=("self",)).get_or_create(
        tile=tile,
        glaze=glaze,
        query=query,
        board=board,
        defaults={"token": secrets.token_urlsafe(TOKEN_BYTES), "made_by": by},
    )
    if page.withdrawn_at is not None:
        page.withdrawn_at = None
        _save(page, by)
    return page


@transaction.atomic
def withdraw(page: PublicPage, *, by: User) -> PublicPage:
    """Close a public page; its address says that it is no longer public."""
    page.withdrawn_at = timezone.now()
    _save(page, by)
    return page


@transaction.atomic
def open_again(page: PublicPage, *, by: User) -> PublicPage:
    """Make a page public once more under the address it had."""
    page.withdrawn_at = None
    _save(page, by)
    return page


def _save(page: PublicPage, by: User) -> None:
    page._history_user = by  # type: ignore[attr-defined]
    page.save()

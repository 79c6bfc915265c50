"""Keep what was measured on fired ware."""

from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction

from firings.models import User
from tiles.catalogue.services import keep_record
from tiles.laboratory.forms import AbsorptionForm, PieceFacts
from tiles.models import AbsorptionPiece, AbsorptionTest


@transaction.atomic
def keep_absorption(form: AbsorptionForm, pieces: Sequence[PieceFacts], *, by: User) -> AbsorptionTest:
    """Keep a new or changed test with its pieces in this order; raises StaleEdit where somebody was faster."""
    test = keep_record(form, by=by)
    assert isinstance(test, AbsorptionTest)
    standing = {piece.position: piece for piece in test.pieces.all()}
    for position, facts in enumerate(pieces, start=1):
        _keep_piece(standing.get(position) or AbsorptionPiece(test=test, position=position), facts)
    for position, piece in standing.items():
        if position > len(pieces):
            piece.delete()
    return test


def _keep_piece(piece: AbsorptionPiece, facts: tuple[Decimal, Decimal, Decimal | None]) -> None:
    if piece.pk and (piece.dry_g, piece.wet_g, piece.suspended_g) == facts:
        return
    piece.dry_g, piece.wet_g, piece.suspended_g = facts
    piece.save()

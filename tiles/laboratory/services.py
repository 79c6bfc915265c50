"""Keep what was measured on fired ware."""

from collections.abc import Sequence
from dataclasses import asdict
from decimal import Decimal

from django.db import transaction

from firings.models import User
from tiles.catalogue.services import keep_record
from tiles.laboratory.forms import AbsorptionForm, FigureFacts, LeachForm, PieceFacts, figure_facts
from tiles.models import AbsorptionPiece, AbsorptionTest, LeachFigure, LeachReport


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


@transaction.atomic
def keep_leach_report(form: LeachForm, figures: Sequence[FigureFacts], *, by: User) -> LeachReport:
    """Keep a new or changed report with its figures in this order; raises StaleEdit where somebody was faster."""
    report = keep_record(form, by=by)
    assert isinstance(report, LeachReport)
    standing = {figure.position: figure for figure in report.figures.all()}
    for position, facts in enumerate(figures, start=1):
        _keep_figure(standing.get(position) or LeachFigure(report=report, position=position), facts)
    for position, figure in standing.items():
        if position > len(figures):
            figure.delete()
    return report


def _keep_figure(figure: LeachFigure, facts: FigureFacts) -> None:
    if figure.pk and figure_facts(figure) == facts:
        return
    for name, value in asdict(facts).items():
        setattr(figure, name, value)
    figure.save()

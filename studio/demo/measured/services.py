"""Writes what the demo studio measured on fired ware."""

from datetime import date, timedelta
from decimal import Decimal

from firings.models import Firing
from firings.vocabulary import FIRED
from studio.demo.catalogue import Catalogue, Leached, Weighed
from studio.demo.shelves.services import Shelves, figure
from tiles.models import AbsorptionPiece, AbsorptionTest, LeachFigure, LeachReport


def write_measured(catalogue: Catalogue, shelves: Shelves, today: date) -> None:
    """Write down the tests of the fixtures."""
    for one in catalogue.weighed:
        _write_weighed(one, shelves, today)
    for report in catalogue.leached:
        _write_leached(report, shelves, today)


def _write_weighed(one: Weighed, shelves: Shelves, today: date) -> None:
    by = shelves.people[1]
    firing = _fired_to(one.cone) if one.logged else None
    test = AbsorptionTest(
        body=shelves.bodies[one.body],
        firing=firing,
        cone_order=None if firing else one.cone,
        method=one.method,
        tested_on=today - timedelta(days=one.days_ago),
        tested_by=str(by),
        created_by=by,
    )
    test._history_user = by  # type: ignore[attr-defined]
    test.save()
    for position, (dry_g, wet_g, *hung) in enumerate(one.pieces, start=1):
        piece = AbsorptionPiece(test=test, position=position, dry_g=figure(dry_g), wet_g=figure(wet_g))
        piece.suspended_g = figure(hung[0]) if hung else None
        piece._history_user = by  # type: ignore[attr-defined]
        piece.save()


def _fired_to(cone: int) -> Firing | None:
    """The first firing in the log that reached this cone."""
    return Firing.objects.filter(state__in=FIRED, reached_order=cone).order_by("number").first()


def _write_leached(one: Leached, shelves: Shelves, today: date) -> None:
    by = shelves.people[1]
    report = LeachReport(
        glaze=shelves.glazes[one.glaze],
        body=shelves.bodies[one.body],
        cone_order=one.cone,
        sampled_on=today - timedelta(days=one.days_ago),
        created_by=by,
        **one.facts,
    )
    report._history_user = by  # type: ignore[attr-defined]
    report.save()
    for position, (element, measured) in enumerate(one.figures, start=1):
        figure = LeachFigure(report=report, position=position, element=element)
        figure.is_less, figure.amount = measured.startswith("<"), Decimal(measured.lstrip("<"))
        figure._history_user = by  # type: ignore[attr-defined]
        figure.save()

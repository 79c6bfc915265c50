"""Absorption tests worked out: one, those of a body or a tile, and all of them by body and cone."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.db.models import Q

from firings.cones import series
from tiles.laboratory import absorption
from tiles.laboratory.forms import masses_of
from tiles.laboratory.limits import RULES, Against, Figure, Limit, Rule, against, limit_of
from tiles.laboratory.plot import Dot, Plot, plotted
from tiles.models import AbsorptionTest, ClayBody, Glaze, LeachReport, Tile
from tiles.vocabulary import AbsorptionMethod, Element, LeachRule


@dataclass(frozen=True, slots=True)
class Tested:
    """A test and what its pieces come to."""

    test: AbsorptionTest
    result: absorption.Result


@dataclass(frozen=True, slots=True)
class Pooled:
    """All pieces of one body, cone and method, and the newest of their tests."""

    method_words: str
    result: absorption.Result
    newest: AbsorptionTest
    test_count: int


@dataclass(frozen=True, slots=True)
class BodyRow:
    """A body across the cones: what was measured at each."""

    body: ClayBody
    cells: tuple[tuple[str, tuple[Pooled, ...]], ...]
    plot: Plot | None


@dataclass(frozen=True, slots=True)
class Overview:
    """Bodies down, cones across."""

    cones: tuple[str, ...]
    rows: tuple[BodyRow, ...]


def test_of(pk: int) -> AbsorptionTest | None:
    """A test in use with its pieces; None where there is none."""
    return AbsorptionTest.objects.for_pages().filter(pk=pk).first()


def tested(tests: Iterable[AbsorptionTest]) -> list[Tested]:
    """Tests that come `for_pages`, worked out; one whose pieces are all gone is left out."""
    return [Tested(test, _result([test], test.method)) for test in tests if test.pieces.all()]


def tests_of_body(body: ClayBody) -> list[Tested]:
    """A body's tests, newest first; two queries."""
    return tested(AbsorptionTest.objects.for_pages().filter(body=body))


def tests_of_tile(tile: Tile) -> list[Tested]:
    """Tests that a tile was weighed for, newest first; two queries."""
    return tested(AbsorptionTest.objects.for_pages().filter(tile=tile))


def overview() -> Overview:
    """All tests by body and cone; two queries."""
    by_body: dict[ClayBody, list[Tested]] = defaultdict(list)
    for one in tested(AbsorptionTest.objects.for_pages()):
        by_body[one.test.body].append(one)
    cones = sorted({_cone(one.test) for found in by_body.values() for one in found})
    rows = tuple(
        BodyRow(body, tuple((cone_words(cone), _pooled(found, cone)) for cone in cones), plot_of(found))
        for body, found in sorted(by_body.items(), key=lambda pair: pair[0].name.casefold())
    )
    return Overview(tuple(cone_words(cone) for cone in cones), rows)


def plot_of(found: Iterable[Tested]) -> Plot | None:
    """One body's tests over the cones; None where no cone is known."""
    dots = [
        Dot(
            _cone(one.test),
            one.result.absorption.mean,
            one.result.absorption.low,
            one.result.absorption.high,
            one.test.method == AbsorptionMethod.SOAK,
        )
        for one in found
        if _cone(one.test)
    ]
    return plotted(dots, [(group.name, group.up_to) for group in absorption.TILE_GROUPS.classes])


def cone_words(order: int) -> str:
    """A cone's name; the cone of a firing that reached none known reads so."""
    return series.label_of(order) if order else "not known"


def _cone(test: AbsorptionTest) -> int:
    return test.cone or 0  # type: ignore[attr-defined]


def _pooled(found: Iterable[Tested], cone: int) -> tuple[Pooled, ...]:
    """What was measured at one cone, each method by itself, in the order of the methods."""
    by_method: dict[str, list[AbsorptionTest]] = defaultdict(list)
    for one in found:
        if _cone(one.test) == cone:
            by_method[one.test.method].append(one.test)
    return tuple(
        Pooled(method.label, _result(by_method[method], method), by_method[method][0], len(by_method[method]))
        for method in AbsorptionMethod
        if method in by_method
    )


def _result(tests: Iterable[AbsorptionTest], method: str) -> absorption.Result:
    listed = list(tests)
    pieces = [(piece.dry_g, piece.wet_g, piece.suspended_g) for test in listed for piece in test.pieces.all()]
    step_g = max(float(test.scale_step_g) for test in listed)
    return absorption.result_of(masses_of(pieces), method, step_g)


@dataclass(frozen=True, slots=True)
class Line:
    """A figure of a report beside the limit named; `limit` is None where there is none."""

    element: str
    figure: Figure
    limit: Limit | None
    against: Against


@dataclass(frozen=True, slots=True)
class Reported:
    """A report with its figures beside the limits of the rule chosen; `rule` is None where the report names its own."""

    report: LeachReport
    lines: tuple[Line, ...]
    rule: Rule | None


def report_of(pk: int) -> LeachReport | None:
    """A report in use with its figures; None where there is none."""
    return LeachReport.objects.for_pages().filter(pk=pk).first()


def reports() -> list[Reported]:
    """All reports, newest sample first; two queries."""
    return reported(LeachReport.objects.for_pages())


def reports_of_glaze(glaze: Glaze) -> list[Reported]:
    """A glaze's reports, those of tiles with it among them; two queries."""
    of_tiles = Q(glaze__isnull=True, tile__layers__glaze=glaze)
    return reported(LeachReport.objects.for_pages().filter(Q(glaze=glaze) | of_tiles).distinct())


def reports_of_tile(tile: Tile) -> list[Reported]:
    """Reports on a tile itself; two queries."""
    return reported(LeachReport.objects.for_pages().filter(tile=tile))


def reported(found: Iterable[LeachReport]) -> list[Reported]:
    """Reports that come `for_pages`, each figure beside the limit named."""
    return [Reported(one, tuple(_lines(one)), RULES.get(one.rule)) for one in found]


def _lines(report: LeachReport) -> Iterator[Line]:
    for row in report.figures.all():
        figure = Figure(row.element, float(row.amount), row.unit, row.is_less)
        limit = limit_of(report.rule, row.element)
        if report.rule == LeachRule.REPORT and row.limit_amount is not None:
            limit = Limit(row.element, float(row.limit_amount), row.unit, report.rule_words, "")
        yield Line(Element.label_of(row.element), figure, limit, against(figure, limit))

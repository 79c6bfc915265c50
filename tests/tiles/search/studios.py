"""Small random studios: what was done is drawn first, written down as plain rows, and only then laid into the log."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from firings.vocabulary import Atmosphere, FiringState
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    KilnFactory,
    PhotoFactory,
    PhotoFilingFactory,
    SeriesFactory,
    ShelfFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import Coverage, Flaw
from tiles.vocabulary import (
    ColourFamily,
    Face,
    Opacity,
    Severity,
    Surface,
    Verdict,
    ZoneKind,
)

ORDERS = (20, 28, 29, 30, 34)
ZONES = (
    ("band 1", ZoneKind.BAND, Face.FRONT, False, 5, 5, 20, 60),
    ("texture", ZoneKind.TEXTURE, Face.FRONT, True, 5, 65, 60, 20),
)
WORDS = ("honey", "cloudy", "Harbour", "thin")


@dataclass(frozen=True, slots=True)
class Row:
    """One outcome as it was drawn: what a search may ask of it, as plain values."""

    pk: int
    tile: int
    glazes: tuple[int, ...]
    kinds: tuple[str, ...]
    lots: tuple[int, ...]
    coats: tuple[int, ...]
    method: str
    body: int
    colour: str
    speckled: bool
    target: int | None
    reached: int | None
    reached_number: Decimal | None
    atmosphere: str
    hold: int
    kiln: int
    shelf: int | None
    firing: int
    fired_on: date
    series: int | None
    textured: bool
    surface: str
    opacity: str
    run: Decimal | None
    off: bool
    gloss: Decimal | None
    thick: Decimal | None
    flaws: frozenset[str]
    verdict: str
    judged: bool
    photo: bool
    texts: tuple[str, ...] = field(default=())


def pick(draw: Any, *choices: Any) -> Any:
    return draw(st.sampled_from(choices))


def kilns_and_firings(draw: Any) -> list[tuple[Any, Any]]:
    kilns = [KilnFactory() for _ in range(2)]
    shelves = {kiln.pk: ShelfFactory(kiln=kiln, position=1 + place) for place, kiln in enumerate(kilns)}
    firings = []
    for _ in range(draw(st.integers(1, 3))):
        kiln, reached = pick(draw, *kilns), pick(draw, *ORDERS)
        firings.append(
            FiringFactory(
                kiln=kiln,
                state=FiringState.FIRED.value,
                started_at=datetime(2026, 1, draw(st.integers(1, 4)), 12, tzinfo=UTC),
                target_order=pick(draw, None, *ORDERS),
                reached_order=reached,
                reached_number=Decimal(reached) - 24,
                reached_source="witness",
                atmosphere=pick(draw, *Atmosphere.values()),
                hold_min=pick(draw, 0, 10, 15),
            )
        )
    return [(firing, shelves[firing.kiln_id]) for firing in firings]


def lay_studio(draw: Any) -> list[Row]:
    """Lay a random studio into the log and return what its outcomes must be found by."""
    bodies = [
        ClayBodyFactory(
            name=name, colour_family=pick(draw, *ColourFamily.values()), speckled=draw(st.booleans())
        )
        for name in ("Dune", "Peat")
    ]
    glazes = [
        GlazeFactory(name=name, kind=pick(draw, "glaze", "flux")) for name in ("Harbour", "Moss", "Flux L")
    ]
    lots = {glaze.pk: GlazeBatchFactory(glaze=glaze) for glaze in glazes}
    form, series = TileFormFactory(zones=ZONES), SeriesFactory(name="Thin over thick")
    fires = kilns_and_firings(draw)
    rows: list[Row] = []
    for _ in range(draw(st.integers(1, 4))):
        rows += lay_tile(draw, bodies, glazes, lots, form, series, fires)
    return rows


def lay_tile(draw: Any, bodies: Any, glazes: Any, lots: Any, form: Any, series: Any, fires: Any) -> list[Row]:
    body, belongs = pick(draw, *bodies), draw(st.booleans())
    firing, shelf = pick(draw, *fires)
    tile = TileFactory(form=form, body=body, series=series if belongs else None, note=pick(draw, "", *WORDS))
    stacks: dict[str, list[tuple[Any, int, str, Any]]] = {zone[0]: [] for zone in ZONES}
    for _ in range(draw(st.integers(1, 3))):
        glaze, method = pick(draw, *glazes), pick(draw, "brush", "spray")
        coats = {name: draw(st.integers(0, 3)) for name in stacks}
        lot = lots[glaze.pk] if draw(st.booleans()) else None
        laid = {name: number for name, number in coats.items() if number}
        glaze_tile(tile, (glaze, laid), method=method, batch=lot)
        for name, number in laid.items():
            stacks[name].append((glaze, number, method, lot))
    on_shelf = shelf if draw(st.booleans()) else None
    outcomes = fired_outcomes(tile, firing, shelf=on_shelf)
    has_photo = draw(st.booleans())
    if has_photo and outcomes:
        PhotoFilingFactory(photo=PhotoFactory(), tile=tile, placement=outcomes[0].placement)
    return [
        judge(draw, outcome, stacks[outcome.zone.name], firing, on_shelf, body, tile, has_photo)
        for outcome in outcomes
    ]


def measured_layers(draw: Any, outcome: Any) -> list[Decimal | None]:
    """How thick each layer of an outcome was measured; nobody had to measure any."""
    layers = list(Coverage.objects.filter(zone=outcome.zone))
    some = [None, *map(Decimal, ("0.1", "0.2", "0.39", "0.6", "1.01"))] if draw(st.booleans()) else [None]
    for layer in layers:
        layer.thickness_mm = pick(draw, *some)
        layer.save()
    return [layer.thickness_mm for layer in layers]


def judge(
    draw: Any, outcome: Any, stack: Any, firing: Any, shelf: Any, body: Any, tile: Any, photo: bool
) -> Row:
    judged = draw(st.booleans())
    if judged:
        outcome.surface = pick(draw, "", *Surface.values())
        outcome.opacity = pick(draw, "", *Opacity.values())
        outcome.run_mm = pick(draw, None, Decimal(0), Decimal(2), Decimal("2.1"), Decimal(8), Decimal(12))
        outcome.gloss_gu = pick(
            draw, None, Decimal(0), Decimal("9.9"), Decimal(10), Decimal(70), Decimal("70.1")
        )
        outcome.runs_off = draw(st.booleans())
        outcome.verdict = pick(draw, "", *Verdict.values())
        outcome.remark = pick(draw, "", *WORDS)
        outcome.judged_at = datetime(2026, 2, 1, tzinfo=UTC)
        outcome.save()
    thick = measured_layers(draw, outcome)
    kinds = draw(st.sets(st.sampled_from(("crazing", "pinholing")))) if judged else set()
    for kind in kinds:
        Flaw.objects.create(outcome=outcome, kind=kind, severity=Severity.SLIGHT.value)
    return Row(
        pk=outcome.pk,
        tile=tile.number,
        glazes=tuple(glaze.pk for glaze, *_ in stack),
        kinds=tuple(glaze.kind for glaze, *_ in stack),
        lots=tuple(lot.pk for *_, lot in stack if lot),
        coats=tuple(number for _, number, *_ in stack),
        method=stack[-1][2],
        body=body.pk,
        colour=body.colour_family,
        speckled=body.speckled,
        target=firing.target_order,
        reached=firing.reached_order,
        reached_number=firing.reached_number,
        atmosphere=firing.atmosphere,
        hold=firing.hold_min,
        kiln=firing.kiln_id,
        shelf=shelf.position if shelf else None,
        firing=firing.number,
        fired_on=firing.started_at.date(),
        series=tile.series_id,
        textured=outcome.zone.name == "texture",
        surface=outcome.surface,
        opacity=outcome.opacity,
        run=outcome.run_mm,
        off=outcome.runs_off,
        gloss=outcome.gloss_gu,
        thick=None if None in thick else sum(thick, Decimal(0)),
        flaws=frozenset(kinds),
        verdict=outcome.verdict,
        judged=judged,
        photo=photo,
        texts=(
            *(glaze.name for glaze, *_ in stack),
            body.name,
            outcome.remark,
            tile.note,
            tile.series.name if tile.series else "",
        ),
    )

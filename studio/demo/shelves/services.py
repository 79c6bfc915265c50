"""Writes what the demo studio starts from: people, kilns, programmes, glazes, bodies, forms."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from firings.models import Kiln, Programme, Segment, Shelf
from studio.demo.catalogue import BatchDay, Catalogue, ConeRange
from studio.demo.firing_plan import PROGRAMMES
from studio.models import Person, StudioPreferences
from studio.people.services import add_person
from studio.roles import Role
from tiles.models import BatchReading, ClayBody, FormZone, Glaze, GlazeBatch, TileForm
from tiles.vocabulary import FlowCup


@dataclass(frozen=True, slots=True)
class Shelves:
    """The rows that the story speaks of by name."""

    people: list[Person]
    kilns: dict[str, Kiln]
    shelves: dict[tuple[str, int], Shelf]
    bodies: dict[str, ClayBody]
    glazes: dict[str, Glaze]
    batches: dict[tuple[str, str], GlazeBatch]
    forms: dict[str, TileForm]


def fill_shelves(catalogue: Catalogue, today: date) -> Shelves:
    """Write down people, kilns, programmes, glazes, bodies and forms as the fixtures have them."""
    people = [add_person(person.name, Role(person.role)) for person in catalogue.people]
    StudioPreferences.objects.get_or_create(
        pk=StudioPreferences.ROW, defaults={"studio_name": catalogue.studio_name}
    )
    kilns, shelves = _kilns(catalogue, people[0], today)
    glazes, batches = _glazes(catalogue, people[0], today)
    for name, segments in PROGRAMMES.items():
        _programme(name, segments, people[0])
    bodies, forms = _bodies(catalogue, people[0]), _forms(catalogue, people[0])
    return Shelves(people, kilns, shelves, bodies, glazes, batches, forms)


def figure(value: float, places: int = 2) -> Decimal:
    """A figure as the database keeps it."""
    return Decimal(str(round(value, places)))


def decimal_of(value: float | None, places: int = 2) -> Decimal | None:
    """The same, where there may be none."""
    return None if value is None else figure(value, places)


def _cones(cones_meant: ConeRange) -> dict[str, int]:
    return {"cone_low_order": cones_meant.low, "cone_high_order": cones_meant.high}


def _kilns(
    catalogue: Catalogue, keeper: Person, today: date
) -> tuple[dict[str, Kiln], dict[tuple[str, int], Shelf]]:
    kilns, shelves = {}, {}
    for facts in catalogue.kilns.values():
        age = facts.elements_fitted_days_ago
        kiln = kilns[facts.name] = Kiln.objects.create(
            name=facts.name,
            kind=facts.kind,
            power_kw=decimal_of(facts.power_kw),
            energy_price_per_kwh=decimal_of(facts.energy_price_per_kwh, 4),
            elements_fitted_on=None if age is None else today - timedelta(days=age),
            note=facts.note,
            created_by=keeper,
        )
        for position, (width, depth, height) in enumerate(facts.shelves, start=1):
            shelves[facts.name, position] = Shelf.objects.create(
                kiln=kiln, position=position, width_mm=width, depth_mm=depth, height_mm=height
            )
    return kilns, shelves


def _bodies(catalogue: Catalogue, keeper: Person) -> dict[str, ClayBody]:
    return {
        body.name: ClayBody.objects.create(
            name=body.name,
            colour_family=body.colour_family,
            speckled=body.speckled,
            swatch=body.swatch,
            absorption_pct=decimal_of(body.absorption_pct, 1),
            shrinkage_pct=decimal_of(body.shrinkage_pct, 1),
            default_hold_min=body.default_hold_min,
            note=body.note,
            created_by=keeper,
            **_cones(body.cones),
        )
        for body in catalogue.bodies.values()
    }


def _glazes(
    catalogue: Catalogue, keeper: Person, today: date
) -> tuple[dict[str, Glaze], dict[tuple[str, str], GlazeBatch]]:
    glazes, batches = {}, {}
    plain = ("name", "kind", "maker", "surface", "opacity", "tags", "swatch", "known_runner", "drying_min")
    for recipe in catalogue.glazes.values():
        words = {name: getattr(recipe, name) for name in (*plain, "thinning", "cautions", "note")}
        low, high = recipe.coats
        glaze = glazes[recipe.name] = Glaze.objects.create(
            coats_low=low, coats_high=high, created_by=keeper, **words, **_cones(recipe.cones)
        )
        for batch in recipe.batches:
            batches[recipe.name, batch.lot] = GlazeBatch.objects.create(
                glaze=glaze,
                lot=batch.lot,
                mixed_here=recipe.maker == "mixed here",
                opened_on=today - timedelta(days=batch.days_ago),
                specific_gravity=decimal_of(batch.sg, 3),
                flow_s=decimal_of(batch.flow_s, 1),
                flow_cup=FlowCup.ISO_6.value if batch.flow_s else "",
                created_by=keeper,
            )
            _readings(batches[recipe.name, batch.lot], batch.readings, keeper, today)
    return glazes, batches


def _readings(batch: GlazeBatch, days: Sequence[BatchDay], keeper: Person, today: date) -> None:
    for day in days:
        BatchReading.objects.create(
            batch=batch,
            taken_on=today - timedelta(days=day.days_ago),
            specific_gravity=decimal_of(day.sg, 3),
            flow_s=decimal_of(day.flow_s, 1),
            flow_cup=FlowCup.ISO_6.value if day.flow_s else "",
            temp_c=decimal_of(day.temp_c, 1),
            water_ml=decimal_of(day.water_ml, 1),
            note=day.note,
            created_by=keeper,
        )


def _forms(catalogue: Catalogue, keeper: Person) -> dict[str, TileForm]:
    forms = {}
    plain = ("name", "shape", "upright", "width_mm", "height_mm", "thickness_mm", "note")
    for facts in catalogue.forms.values():
        form = forms[facts.name] = TileForm.objects.create(
            created_by=keeper, **{name: getattr(facts, name) for name in plain}
        )
        FormZone.objects.bulk_create(
            FormZone(
                form=form,
                position=position,
                name=zone.name,
                kind=zone.kind,
                face=zone.face,
                textured=zone.textured,
                x_mm=figure(zone.x_mm),
                y_mm=figure(zone.y_mm),
                width_mm=figure(zone.width_mm),
                height_mm=figure(zone.height_mm),
            )
            for position, zone in enumerate(facts.zones, start=1)
        )
    return forms


def _programme(name: str, segments: Sequence[tuple[float, float, int]], keeper: Person) -> None:
    programme = Programme.objects.create(name=name, created_by=keeper)
    Segment.objects.bulk_create(
        Segment(
            programme=programme,
            position=position,
            rate_c_per_h=decimal_of(rate_c_per_h, 1),
            target_c=figure(target_c, 1),
            hold_min=hold_min,
        )
        for position, (rate_c_per_h, target_c, hold_min) in enumerate(segments, start=1)
    )

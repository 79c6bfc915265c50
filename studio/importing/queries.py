"""What the studio knows that a spreadsheet may mean: names, zones of forms, what came in before."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Any

from django.db import models
from django.db.models import Count, Exists, Max, OuterRef
from django.utils import timezone

from firings.models import LAYING, Firing, Kiln
from studio.importing.catalogue.services import fields_of as catalogue_fields
from studio.importing.fields import RESULT_FIELDS, RESULTS, Field
from studio.importing.names import BODY, FORM, GLAZE, KILN, Names, folded
from studio.importing.results import WHOLE_FACE, KnownForm, Log
from studio.importing.told import Told
from studio.models import ImportedRecord, SpreadsheetImport
from studio.vocabulary import ImportState
from tiles.earlier.facts import Earlier
from tiles.models import ClayBody, FormZone, Glaze, Outcome, TileForm
from tiles.vocabulary import Face, ZoneKind

NAMED: dict[str, Any] = {BODY: ClayBody, FORM: TileForm, GLAZE: Glaze, KILN: Kiln}
SHOWN_AT_MOST = 100
EXAMPLE = Path(__file__).parents[2] / "fixtures" / "last-years-results.xlsx"


def fields_of(kind: str) -> tuple[Field, ...]:
    """What a column may hold in a spreadsheet of this kind."""
    return RESULT_FIELDS if kind == RESULTS else catalogue_fields(kind)


def names_known() -> dict[str, Collection[str]]:
    """The names of the studio's records, by what they name."""
    return {kind: list(model.objects.values_list("name", flat=True)) for kind, model in NAMED.items()}


def names_of(told: Told) -> dict[str, Names]:
    """The studio's records by name, with what a person chose for names that are not known."""
    found = {}
    for kind, model in NAMED.items():
        words = dict(model.objects.values_list("pk", "name"))
        known = {folded(name): pk for pk, name in words.items()}
        found[kind] = Names(kind, known, words, told.names.get(kind, {}), told.joined.get(kind, {}))
    return found


def choices_of_names() -> dict[str, Sequence[tuple[int, str]]]:
    """The studio's records a name may be taken for, by what they name."""
    return {
        kind: list(model.objects.order_by("name").values_list("pk", "name")) for kind, model in NAMED.items()
    }


def usual() -> dict[str, str]:
    """What is meant where a sheet says nothing: the form most tiles have, the only kiln, the only body."""
    found = {}
    form = TileForm.objects.annotate(n=Count("tiles")).order_by("-n", "pk").first()
    found[FORM] = form.name if form else "test tile"
    for kind in (KILN, BODY):
        two = list(NAMED[kind].objects.values_list("name", flat=True)[:2])
        if len(two) == 1:
            found[kind] = two[0]
    return found


def forms_known() -> dict[int, KnownForm]:
    """The zones of each form; where a sheet names none, its first on the front is meant."""
    found = {}
    for form in TileForm.objects.prefetch_related("zones"):
        zones = sorted(form.zones.all(), key=_how_likely)
        if zones:
            found[form.pk] = KnownForm({folded(zone.name): zone.name for zone in zones}, zones[0].name)
    return found


def _how_likely(zone: FormZone) -> tuple[bool, bool, int]:
    """The whole face before others, those on the front before the back."""
    is_whole = zone.kind == ZoneKind.WHOLE.value or zone.name == WHOLE_FACE
    return not is_whole, zone.face != Face.FRONT.value, zone.position


def standing() -> models.QuerySet[ImportedRecord]:
    """Records of imports that were not undone."""
    return ImportedRecord.objects.filter(made_in__state=ImportState.KEPT.value).exclude(key="")


def are_in_already(of: SpreadsheetImport) -> bool:
    """Whether another import brought in rows that this one lays down."""
    also = standing().filter(model=OuterRef("model"), key=OuterRef("key")).exclude(made_in=of)
    return of.records.exclude(key="").filter(Exists(also)).exists()


def all_stand(earlier: Earlier) -> bool:
    """Whether everything that tiles to come are made of is there, and not in the bin; what is being laid down is."""
    used: dict[Any, set[int]] = {
        Glaze: {cover.glaze for stack in earlier.stacks for cover in stack},
        ClayBody: {tile.body for tile in earlier.tiles},
        TileForm: {tile.form for tile in earlier.tiles},
        Firing: {firing.known for firing in earlier.firings},
    }
    for model, keys in used.items():
        there = model._base_manager.filter(models.Q(binned_at__isnull=True) | models.Q(binned_at=LAYING))
        if keys - set(there.values_list("pk", flat=True)):
            return False
    return True


def log_known() -> Log:
    """What of a file may be in the log already."""
    tiles = dict(standing().filter(model="tiles.tile").values_list("key", "record_id"))
    firings = dict(standing().filter(model="firings.firing").values_list("key", "record_id"))
    here = set(Firing.objects.values_list("pk", flat=True))
    firings = {key: pk for key, pk in firings.items() if pk in here}
    numbered = {
        (number, kiln, timezone.localdate(started)): pk
        for pk, number, kiln, started in Firing.objects.filter(
            started_at__isnull=False, purpose="glaze"
        ).values_list("pk", "number", "kiln_id", "started_at")
    }
    if not tiles:
        return Log(tiles, firings, frozenset(), numbered)
    # A tile that was thrown away, or for good, was there: the same row does not bring it back.
    of_imports = standing().filter(model="tiles.tile").values("record_id")
    rows = Outcome.everything.filter(tile__in=of_imports).values_list("tile_id", "zone__name", "firing_id")
    words: dict[str, str] = {}
    results = set()
    for tile, zone, firing in rows.iterator(chunk_size=5000):
        results.add((tile, words.get(zone) or words.setdefault(zone, folded(zone)), firing))
    return Log(tiles, firings, frozenset(results), numbered)


def names_in_use(model: type[models.Model]) -> list[str]:
    """The names records of a kind have."""
    return list(model.objects.values_list("name", flat=True))  # type: ignore[attr-defined]


def mark() -> tuple[Any, ...]:
    """Changes when anything a file is compared with has changed."""
    found: list[Any] = [ImportedRecord.objects.aggregate(last=Max("pk"))["last"]]
    found.append(
        SpreadsheetImport.objects.filter(state=ImportState.UNDONE.value).aggregate(last=Max("undone_at"))
    )
    for model in (*NAMED.values(), Firing):
        found.append(model.history.aggregate(last=Max("history_id"))["last"])
        found.append(model.objects.count())
    return tuple(map(str, found))


def earlier_with(kind: str, header_key: str, besides: int) -> SpreadsheetImport | None:
    """The last file with the same headings that was kept, or at least looked at."""
    alike = SpreadsheetImport.objects.filter(holds=kind, header_key=header_key).exclude(pk=besides)
    kept = alike.filter(kept_at__isnull=False).defer("content").order_by("-kept_at").first()
    return kept or alike.defer("content").order_by("-made_at").first()


def same_file(of: SpreadsheetImport) -> SpreadsheetImport | None:
    """The same file, byte for byte, that is in the log already."""
    alike = SpreadsheetImport.objects.filter(sha256=of.sha256, holds=of.holds, state=ImportState.KEPT.value)
    return alike.exclude(pk=of.pk).defer("content").order_by("-kept_at").first()


def for_list() -> models.QuerySet[SpreadsheetImport]:
    """Imports, the newest first."""
    return SpreadsheetImport.objects.select_related("made_by").defer("content", "looked", "told", "report")[
        :SHOWN_AT_MOST
    ]


def made_by(of: SpreadsheetImport) -> Mapping[str, int]:
    """How many records of each kind an import made or changed."""
    counts: dict[str, int] = defaultdict(int)
    rows = of.records.values_list("model").annotate(n=Count("pk")).order_by()
    counts.update(dict(rows))
    return counts

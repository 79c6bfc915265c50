"""What people do to the catalogue: keep a record, lay out a form's zones."""

from collections.abc import Sequence

from django.db import transaction

from firings.forms import KeptForm
from firings.models import Kept, User
from tiles.catalogue.zones import ZoneBox
from tiles.models import FormZone, TileForm


@transaction.atomic
def keep_record(form: KeptForm, *, by: User) -> Kept:
    """Keep a new or changed record as typed; raises StaleEdit where somebody changed it meanwhile."""
    record: Kept = form.save(commit=False)
    if record.pk is None:
        record.created_by = by
    else:
        record.stamp = type(record).objects.claim(record.pk, form.stamp).stamp  # type: ignore[attr-defined]
    record.save()
    return record


@transaction.atomic
def keep_form(form: KeptForm, boxes: Sequence[ZoneBox], *, by: User) -> TileForm:
    """Keep a tile form that no tile was cut to yet, and its zones anew in this order."""
    kept = keep_record(form, by=by)
    assert isinstance(kept, TileForm)
    kept.zones.all().delete()
    FormZone.objects.bulk_create(
        FormZone(
            form=kept,
            position=position,
            name=box.name,
            kind=box.kind,
            face=box.face,
            textured=box.textured,
            x_mm=box.x_mm,
            y_mm=box.y_mm,
            width_mm=box.width_mm,
            height_mm=box.height_mm,
        )
        for position, box in enumerate(boxes, start=1)
    )
    return kept

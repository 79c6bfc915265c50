"""The studio's tables as an open package has them."""

import re
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, connections, models, transaction
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from firings.curves.services import originals
from firings.models import Curve
from studio.backup import queries as backups
from studio.export.package import Column, Table
from studio.models import Person
from studio.roles import Role
from studio.tables.queries import carried, fields_of
from tiles.models import Photo
from tiles.photos.accept import EXTENSIONS
from tiles.photos.queries import photo_store

AS_IT_STOOD = "as_it_stood"
# What concerns one machine, or nobody but the person: it is in no package.
KEPT_BACK = {"studio_accesskey", "studio_backup", "studio_passkey"}
# What is kept back of a person, and what they have where they come in, until they choose a password.
NEW_THERE = {
    "password": "!",  # nosec B105 # no password has this hash
    "last_login": None,
    "is_superuser": False,
    "is_staff": False,
    "email": "",
    "sessions_mark": "",
}
KINDS = {
    models.BooleanField: "boolean",
    models.IntegerField: "integer",
    models.AutoField: "integer",
    models.DecimalField: "number",
    models.FloatField: "number",
    models.DateTimeField: "datetime",
    models.DateField: "date",
    models.JSONField: "any",
    models.BinaryField: "binary",
    models.CharField: "string",
    models.TextField: "string",
    models.UUIDField: "string",
}
ROLE = Column("role", "string", "what this person may do", choices=tuple(role.value for role in Role))


def tables() -> list[tuple[type[models.Model], Table]]:
    """Each table that goes into a package, with how it is described there."""
    ours = [model for model in carried() if model._meta.db_table not in KEPT_BACK]
    return [(model, _described(model, ours)) for model in ours]


def _described(model: type[models.Model], ours: Sequence[type[models.Model]]) -> Table:
    columns = [_column(field, ours) for field in exported(model)]
    return Table(table_name(model), str(model._meta.verbose_name_plural), (*columns, *_more(model)))


def exported(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    """The columns that go into a package, the key first."""
    back = NEW_THERE if model is Person else {}
    fields = [field for field in fields_of(model) if field.name not in back]
    return sorted(fields, key=lambda field: not field.primary_key)


def _more(model: type[models.Model]) -> tuple[Column, ...]:
    return (ROLE,) if model is Person else ()


def table_name(model: type[models.Model]) -> str:
    """ "tile" for tiles_tile, "tile_history" for tiles_historicaltile."""
    name = model._meta.model_name or ""
    return f"{name.removeprefix('historical')}_history" if name.startswith("historical") else name


def _column(field: models.Field[Any, Any], ours: Sequence[type[models.Model]]) -> Column:
    kind = kind_of(field)
    return Column(
        name=field.attname,
        kind=kind,
        title=str(field.verbose_name),
        is_required=not field.null and kind != "string",
        refers_to=_refers_to(field, ours),
    )


def _refers_to(field: models.Field[Any, Any], ours: Sequence[type[models.Model]]) -> str:
    """The other table of the package that a column refers to; history may refer to what is gone, so it tells none."""
    aim = field.remote_field.model if field.remote_field else None
    is_history = table_name(field.model).endswith("_history")
    if aim is None or aim not in ours or aim is field.model or is_history:
        return ""
    return table_name(aim)


def kind_of(field: models.Field[Any, Any]) -> str:
    """The kind of a column in a table schema. A reference has the kind of what it refers to."""
    while field.remote_field:
        field = field.target_field  # type: ignore[attr-defined]
    return next(kind for family, kind in KINDS.items() if isinstance(field, family))


@contextmanager
def as_it_stands() -> Iterator[str]:
    """A database that holds still, by its alias, while people go on writing in the living one."""
    if not settings.ON_SQLITE:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield "default"
        return
    with tempfile.TemporaryDirectory(dir=settings.DATA_DIR) as folder:
        place, _ = backups.snapshot(Path(folder))
        connections.databases[AS_IT_STOOD] = {**connections.databases["default"], "NAME": str(place)}
        try:
            yield AS_IT_STOOD
        finally:
            connections[AS_IT_STOOD].close()
            del connections[AS_IT_STOOD]
            del connections.databases[AS_IT_STOOD]


def files(using: str) -> Iterator[tuple[str, str, Path]]:
    """Each file that rows stand for: its name in a package, the hash it must have, where it lies."""
    store, logged = photo_store(), originals()
    photos = Photo.everything.using(using).order_by("pk").values_list("sha256", "format")
    for sha256, form in photos.iterator():
        extension = EXTENSIONS[form]
        yield f"originals/photos/{sha256}.{extension}", sha256, store.at_hand(sha256, extension)
    curves = Curve.objects.using(using).order_by("original_sha256")
    for sha256 in curves.values_list("original_sha256", flat=True).distinct():
        yield f"originals/curves/{sha256}", sha256, logged.kept(sha256)


def export_folder() -> Path:
    return Path(settings.DATA_DIR) / "exports"


def made() -> list[tuple[str, int, datetime]]:
    """Packages that can be fetched: name, bytes, when; the newest first."""
    found = [place for place in export_folder().glob("*.zip") if is_package_name(place.name)]
    packages = [(place.name, place.stat().st_size, _written_at(place)) for place in found]
    return sorted(packages, key=lambda package: package[2], reverse=True)


def _written_at(place: Path) -> datetime:
    return datetime.fromtimestamp(place.stat().st_mtime).astimezone()


def is_package_name(name: str) -> bool:
    """Whether a package of ours may be called so."""
    return re.fullmatch(r"studio-\d{8}-\d{6}\.zip", name) is not None


def under_way() -> bool:
    """Whether one is being made."""
    undone = [TaskResultStatus.READY, TaskResultStatus.RUNNING]
    return DBTaskResult.objects.filter(
        task_path="studio.export.tasks.make_package", status__in=undone
    ).exists()

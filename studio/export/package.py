"""The package's own description: tables, columns, what refers to what (Frictionless Data Package 1.0)."""

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

DESCRIPTION = "datapackage.json"
FORMAT = 1
WORDS = (
    "A studio of fired test tiles. Units stand in the columns’ names: temp_c, run_mm, mass_g, area_cm2, hold_min. "
    "A cone is its order in the published series, from 1 for 022 to 38 for 14. Text cells that a spreadsheet would "
    "run begin with an apostrophe; take one away. Tables named …_history hold every version of a record. Nobody’s "
    "password, passkey, mail address or key is in here. Originals lie under originals/, named by their SHA-256."
)
# The only names in a package, so the only ones believed: nothing can point out of it.
_HASHED = "[0-9a-f]{64}"
NAMES = re.compile(
    rf"datapackage\.json|data/[a-z_]{{1,60}}\.csv|originals/photos/{_HASHED}\.[a-z0-9]{{1,5}}|originals/curves/{_HASHED}"
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table. `refers_to` names another table's key."""

    name: str
    kind: str
    title: str = ""
    is_required: bool = False
    choices: tuple[str, ...] = ()
    refers_to: str = ""

    def described(self) -> dict[str, Any]:
        """As the table schema has it."""
        known: dict[str, Any] = {"name": self.name, "type": "string" if self.kind == "binary" else self.kind}
        if self.kind == "binary":
            known["format"] = "binary"
        if self.kind == "datetime":
            known["format"] = "any"
        if self.title:
            known["title"] = self.title
        if self.is_required:
            known["constraints"] = {"required": True}
        if self.choices:
            known.setdefault("constraints", {})["enum"] = list(self.choices)
        return known


@dataclass(frozen=True, slots=True)
class Table:
    """One table and its columns, the key first."""

    name: str
    title: str
    columns: tuple[Column, ...]

    @property
    def path(self) -> str:
        return f"data/{self.name}.csv"

    @property
    def header(self) -> list[str]:
        return [column.name for column in self.columns]

    def with_columns(self, names: Sequence[str]) -> "Table":
        """The table with those of its columns alone."""
        return replace(self, columns=tuple(column for column in self.columns if column.name in names))

    def schema(self) -> dict[str, Any]:
        """The table schema."""
        return {
            "fields": [column.described() for column in self.columns],
            "missingValues": [""],
            "primaryKey": self.columns[0].name,
            "foreignKeys": [
                {"fields": column.name, "reference": {"resource": column.refers_to, "fields": "id"}}
                for column in self.columns
                if column.refers_to
            ],
        }


ORIGINALS = Table(
    "original",
    "Files as they came from cameras and loggers",
    (
        Column("path", "string", is_required=True),
        Column("sha256", "string", is_required=True),
        Column("byte_count", "integer", is_required=True),
    ),
)


@dataclass(frozen=True, slots=True)
class Written:
    """A table's file as it was written."""

    table: Table
    row_count: int
    byte_count: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Described:
    """What a package says of itself: by each table's name its header, bytes and digest, and how far its tables were."""

    headers: dict[str, list[str]] = field(default_factory=dict)
    digests: dict[str, tuple[int, str]] = field(default_factory=dict)
    version: str = ""
    migrations: dict[str, str] = field(default_factory=dict)


def description(
    written: Sequence[Written], *, made_at: str, version: str, studio: str, migrations: Mapping[str, str]
) -> bytes:
    """The package's description as JSON."""
    return json.dumps(
        {
            "profile": "tabular-data-package",
            "name": "studio",
            "title": studio,
            "description": WORDS,
            "created": made_at,
            "version": version,
            "tilewright_format": FORMAT,
            "tilewright_migrations": dict(migrations),
            "resources": [
                {
                    "name": one.table.name,
                    "title": one.table.title,
                    "path": one.table.path,
                    "profile": "tabular-data-resource",
                    "format": "csv",
                    "mediatype": "text/csv",
                    "encoding": "utf-8",
                    "bytes": one.byte_count,
                    "hash": f"sha256:{one.sha256}",
                    "schema": one.table.schema(),
                }
                for one in written
            ],
        },
        ensure_ascii=False,
        indent=1,
    ).encode()


def read_description(told: bytes) -> Described:
    """What a package says of itself. Raises ValueError in words when it is none of ours."""
    try:
        known = json.loads(told)
        if known["tilewright_format"] > FORMAT:
            raise ValueError("It was made by a newer Tilewright. Take it in with that version.")
        resources = {one["name"]: one for one in known["resources"]}
        return Described(
            {name: [told["name"] for told in one["schema"]["fields"]] for name, one in resources.items()},
            {name: (int(one["bytes"]), str(one["hash"])) for name, one in resources.items()},
            str(known.get("version", "")),
            {str(app): str(name) for app, name in known.get("tilewright_migrations", {}).items()},
        )
    except (KeyError, TypeError, AttributeError, json.JSONDecodeError):
        raise ValueError("Its datapackage.json is none that Tilewright wrote.") from None

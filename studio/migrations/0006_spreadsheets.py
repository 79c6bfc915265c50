import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("studio", "0005_access_keys"),
    ]

    operations = [
        migrations.CreateModel(
            name="SpreadsheetImport",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "holds",
                    models.CharField(
                        choices=[("results", "results"), ("glazes", "glazes"), ("bodies", "clay bodies")],
                        max_length=8,
                    ),
                ),
                ("file_name", models.CharField(max_length=200)),
                ("sha256", models.CharField(max_length=64)),
                ("content", models.BinaryField()),
                ("header_key", models.CharField(blank=True, max_length=32)),
                ("told", models.JSONField(default=dict)),
                ("looked", models.JSONField(default=dict)),
                ("report", models.JSONField(default=dict)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("open", "being looked at"),
                            ("working", "under way"),
                            ("kept", "in the logbook"),
                            ("undone", "undone"),
                        ],
                        default="open",
                        max_length=8,
                    ),
                ),
                ("progress", models.PositiveSmallIntegerField(default=0)),
                ("trouble", models.CharField(blank=True, max_length=500)),
                ("made_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("kept_at", models.DateTimeField(blank=True, null=True)),
                ("undone_at", models.DateTimeField(blank=True, null=True)),
                (
                    "made_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "undone_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-made_at"],
            },
        ),
        migrations.CreateModel(
            name="ImportedRecord",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("model", models.CharField(max_length=40)),
                ("record_id", models.BigIntegerField()),
                ("key", models.CharField(blank=True, max_length=32)),
                ("stamp", models.PositiveIntegerField(default=1)),
                ("before", models.BigIntegerField(blank=True, null=True)),
                (
                    "made_in",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="records",
                        to="studio.spreadsheetimport",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.AddIndex(
            model_name="spreadsheetimport",
            index=models.Index(fields=["holds", "header_key"], name="import_by_headings"),
        ),
        migrations.AddConstraint(
            model_name="spreadsheetimport",
            constraint=models.CheckConstraint(
                condition=models.Q(("state__in", ["open", "working", "kept", "undone"])),
                name="import_state_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="spreadsheetimport",
            constraint=models.CheckConstraint(
                condition=models.Q(("holds__in", ["results", "glazes", "bodies"])),
                name="import_kind_is_known",
            ),
        ),
        migrations.AddIndex(
            model_name="importedrecord",
            index=models.Index(
                condition=models.Q(("key", ""), _negated=True), fields=["key"], name="imported_by_key"
            ),
        ),
        migrations.AddIndex(
            model_name="importedrecord",
            index=models.Index(fields=["made_in", "model", "record_id"], name="imported_by_import"),
        ),
    ]

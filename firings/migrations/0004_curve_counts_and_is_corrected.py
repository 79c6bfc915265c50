"""A curve knows since when it counts, in a column of its own, and what it comes to with its kiln's own correction."""

from datetime import datetime

import django.utils.timezone
from django.db import migrations, models

BATCH = 200


def carry(apps, schema_editor):
    """Take the moment out of the heat work's figures, in versions too; where none stands, the kept order decides."""
    for name in ("Curve", "HistoricalCurve"):
        rows = apps.get_model("firings", name).objects.using(schema_editor.connection.alias)
        for row in rows.only("pk", "heat").order_by("pk").iterator(chunk_size=BATCH):
            since = row.heat.pop("counts_since", None)
            if since:
                row.counts_since = datetime.fromisoformat(since)
                row.save(update_fields=["counts_since", "heat"])


def carry_back(apps, schema_editor):
    for name in ("Curve", "HistoricalCurve"):
        rows = apps.get_model("firings", name).objects.using(schema_editor.connection.alias)
        for row in rows.only("pk", "heat", "counts_since").order_by("pk").iterator(chunk_size=BATCH):
            row.heat["counts_since"] = row.counts_since.isoformat()
            row.save(update_fields=["heat"])


def fields(model):
    return [
        migrations.AddField(
            model_name=model,
            name="counts_since",
            field=models.DateTimeField(default=django.utils.timezone.now),
        ),
        migrations.AddField(
            model_name=model,
            name="corrected",
            field=models.JSONField(blank=True, default=dict),
        ),
    ]


class Migration(migrations.Migration):
    dependencies = [("firings", "0003_logger_reading_and_heat")]

    operations = [
        migrations.AlterModelOptions(
            name="curve", options={"ordering": ["firing", "-counts_since", "-pk"]}
        ),
        *fields("curve"),
        *fields("historicalcurve"),
        migrations.RunPython(carry, carry_back),
    ]

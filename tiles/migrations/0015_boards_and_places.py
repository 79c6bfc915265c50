import django.db.models.deletion
import django.db.models.functions.text
import django.utils.timezone
import simple_history.models
from django.conf import settings
from django.db import migrations, models


def hang_each_once(apps, schema_editor):
    """A tile that is written on several slots stays on the one written last; the others are emptied, in history too."""
    alias = schema_editor.connection.alias
    slots = apps.get_model("tiles", "BoardSlot").objects.using(alias)
    history = apps.get_model("tiles", "HistoricalBoardSlot").objects.using(alias)
    now, seen = django.utils.timezone.now(), set()
    for slot in slots.filter(tile__isnull=False).order_by("-pk"):
        if slot.tile_id not in seen:
            seen.add(slot.tile_id)
            continue
        slots.filter(pk=slot.pk).update(tile=None)
        history.create(
            id=slot.pk,
            board_id=slot.board_id,
            row=slot.row,
            column=slot.column,
            tile=None,
            wanted=slot.wanted,
            history_date=now,
            history_type="~",
        )
    if schema_editor.connection.vendor == "postgresql":
        # What was just written is checked now: a table with checks still to come cannot be altered.
        schema_editor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        schema_editor.execute("SET CONSTRAINTS ALL DEFERRED")


class Migration(migrations.Migration):
    dependencies = [
        ("tiles", "0014_public_pages"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="HistoricalPlace",
            fields=[
                (
                    "id",
                    models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID"),
                ),
                ("stamp", models.PositiveIntegerField(default=1, editable=False)),
                ("created_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("binned_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("name", models.CharField(max_length=60)),
                (
                    "kind",
                    models.CharField(
                        choices=[("box", "box"), ("shelf", "shelf"), ("drawer", "drawer")],
                        default="box",
                        max_length=8,
                    ),
                ),
                ("note", models.TextField(blank=True)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(
                        choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1
                    ),
                ),
            ],
            options={
                "verbose_name": "historical place",
                "verbose_name_plural": "historical places",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Place",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("stamp", models.PositiveIntegerField(default=1, editable=False)),
                ("created_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("binned_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("name", models.CharField(max_length=60)),
                (
                    "kind",
                    models.CharField(
                        choices=[("box", "box"), ("shelf", "shelf"), ("drawer", "drawer")],
                        default="box",
                        max_length=8,
                    ),
                ),
                ("note", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.AddField(
            model_name="board",
            name="rule",
            field=models.JSONField(blank=True, default=dict, editable=False),
        ),
        migrations.AddField(
            model_name="historicalboard",
            name="rule",
            field=models.JSONField(blank=True, default=dict, editable=False),
        ),
        migrations.RunPython(hang_each_once, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name="boardslot",
            constraint=models.UniqueConstraint(
                condition=models.Q(("tile__isnull", False)),
                fields=("tile",),
                name="boardslot_tile_hangs_once",
            ),
        ),
        migrations.AddField(
            model_name="historicalplace",
            name="binned_by",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="historicalplace",
            name="created_by",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="historicalplace",
            name="history_user",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="place",
            name="binned_by",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="place",
            name="created_by",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="historicaltile",
            name="place",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="tiles.place",
                verbose_name="kept in",
            ),
        ),
        migrations.AddField(
            model_name="tile",
            name="place",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="tiles",
                to="tiles.place",
                verbose_name="kept in",
            ),
        ),
        migrations.AddConstraint(
            model_name="place",
            constraint=models.UniqueConstraint(
                django.db.models.functions.text.Lower("name"),
                condition=models.Q(("binned_at__isnull", True)),
                name="place_name_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="place",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["box", "shelf", "drawer"])), name="place_kind_known"
            ),
        ),
    ]

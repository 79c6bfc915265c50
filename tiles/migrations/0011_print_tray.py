import django.db.models.deletion
import django.db.models.functions.text
import django.utils.timezone
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("tiles", "0010_planner"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="HistoricalPrinter",
            fields=[
                (
                    "id",
                    models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID"),
                ),
                ("stamp", models.PositiveIntegerField(default=1, editable=False)),
                ("created_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("binned_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("name", models.CharField(max_length=80)),
                ("measured_across_mm", models.DecimalField(decimal_places=2, max_digits=6)),
                ("measured_down_mm", models.DecimalField(decimal_places=2, max_digits=6)),
                ("measured_left_mm", models.DecimalField(decimal_places=2, max_digits=6)),
                ("measured_top_mm", models.DecimalField(decimal_places=2, max_digits=6)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(
                        choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1
                    ),
                ),
                (
                    "binned_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "created_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "historical printer",
                "verbose_name_plural": "historical printers",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Printer",
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
                ("name", models.CharField(max_length=80)),
                ("measured_across_mm", models.DecimalField(decimal_places=2, max_digits=6)),
                ("measured_down_mm", models.DecimalField(decimal_places=2, max_digits=6)),
                ("measured_left_mm", models.DecimalField(decimal_places=2, max_digits=6)),
                ("measured_top_mm", models.DecimalField(decimal_places=2, max_digits=6)),
                (
                    "binned_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "created_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="PrintHabit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "person",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="print_habit",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "printer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="tiles.printer",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="PrintItem",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("kind", models.CharField(max_length=40)),
                ("keys", models.JSONField(default=list)),
                ("options", models.JSONField(blank=True, default=dict)),
                ("title", models.CharField(blank=True, max_length=300)),
                ("position", models.PositiveIntegerField()),
                ("added_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("taken_out_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="print_items",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["position", "pk"],
            },
        ),
        migrations.CreateModel(
            name="PrintRun",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("title", models.CharField(max_length=200)),
                ("asked", models.JSONField(default=list)),
                ("pages", models.PositiveIntegerField(default=0)),
                ("pages_done", models.PositiveIntegerField(default=0)),
                ("notes", models.JSONField(blank=True, default=list)),
                ("trouble", models.TextField(blank=True)),
                ("file_name", models.CharField(blank=True, max_length=80)),
                ("started_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="print_runs",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-started_at"],
            },
        ),
        migrations.CreateModel(
            name="UsedSheet",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("stock_key", models.CharField(max_length=80)),
                ("used", models.JSONField(blank=True, default=list)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="used_sheets",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="printer",
            constraint=models.UniqueConstraint(
                django.db.models.functions.text.Lower("name"),
                condition=models.Q(("binned_at__isnull", True)),
                name="printer_name_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="printer",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("measured_across_mm__gte", 50), ("measured_across_mm__lte", 500)),
                    ("measured_across_mm__isnull", True),
                    _connector="OR",
                ),
                name="printer_measured_across_mm_plausible",
            ),
        ),
        migrations.AddConstraint(
            model_name="printer",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("measured_down_mm__gte", 50), ("measured_down_mm__lte", 500)),
                    ("measured_down_mm__isnull", True),
                    _connector="OR",
                ),
                name="printer_measured_down_mm_plausible",
            ),
        ),
        migrations.AddConstraint(
            model_name="printer",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("measured_left_mm__gte", 0), ("measured_left_mm__lte", 100)),
                    ("measured_left_mm__isnull", True),
                    _connector="OR",
                ),
                name="printer_measured_left_mm_plausible",
            ),
        ),
        migrations.AddConstraint(
            model_name="printer",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("measured_top_mm__gte", 0), ("measured_top_mm__lte", 100)),
                    ("measured_top_mm__isnull", True),
                    _connector="OR",
                ),
                name="printer_measured_top_mm_plausible",
            ),
        ),
        migrations.AddIndex(
            model_name="printitem",
            index=models.Index(fields=["person", "taken_out_at", "position"], name="printitem_in_tray"),
        ),
        migrations.AddConstraint(
            model_name="usedsheet",
            constraint=models.UniqueConstraint(
                fields=("person", "stock_key"), name="usedsheet_one_of_a_stock"
            ),
        ),
    ]

import django.db.models.deletion
import django.utils.timezone
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("tiles", "0015_boards_and_places"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="HistoricalBatchReading",
            fields=[
                (
                    "id",
                    models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID"),
                ),
                ("stamp", models.PositiveIntegerField(default=1, editable=False)),
                ("created_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("binned_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("taken_on", models.DateField(verbose_name="day")),
                (
                    "specific_gravity",
                    models.DecimalField(
                        blank=True, decimal_places=3, max_digits=4, null=True, verbose_name="specific gravity"
                    ),
                ),
                (
                    "flow_s",
                    models.DecimalField(
                        blank=True, decimal_places=1, max_digits=5, null=True, verbose_name="flow time, s"
                    ),
                ),
                (
                    "flow_cup",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("iso_4", "ISO cup 4 mm"),
                            ("iso_5", "ISO cup 5 mm"),
                            ("iso_6", "ISO cup 6 mm"),
                            ("ford_4", "Ford cup 4"),
                            ("ford_5", "Ford cup 5"),
                            ("zahn_2", "Zahn cup 2"),
                            ("zahn_4", "Zahn cup 4"),
                            ("other", "own cup"),
                        ],
                        max_length=8,
                        verbose_name="flow cup",
                    ),
                ),
                (
                    "temp_c",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        max_digits=4,
                        null=True,
                        verbose_name="temperature of the slop, °C",
                    ),
                ),
                (
                    "water_ml",
                    models.DecimalField(
                        blank=True, decimal_places=1, max_digits=7, null=True, verbose_name="water added, ml"
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
                (
                    "batch",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="tiles.glazebatch",
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
                "verbose_name": "historical reading of a batch",
                "verbose_name_plural": "historical readings of batches",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="BatchReading",
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
                ("taken_on", models.DateField(verbose_name="day")),
                (
                    "specific_gravity",
                    models.DecimalField(
                        blank=True, decimal_places=3, max_digits=4, null=True, verbose_name="specific gravity"
                    ),
                ),
                (
                    "flow_s",
                    models.DecimalField(
                        blank=True, decimal_places=1, max_digits=5, null=True, verbose_name="flow time, s"
                    ),
                ),
                (
                    "flow_cup",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("iso_4", "ISO cup 4 mm"),
                            ("iso_5", "ISO cup 5 mm"),
                            ("iso_6", "ISO cup 6 mm"),
                            ("ford_4", "Ford cup 4"),
                            ("ford_5", "Ford cup 5"),
                            ("zahn_2", "Zahn cup 2"),
                            ("zahn_4", "Zahn cup 4"),
                            ("other", "own cup"),
                        ],
                        max_length=8,
                        verbose_name="flow cup",
                    ),
                ),
                (
                    "temp_c",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        max_digits=4,
                        null=True,
                        verbose_name="temperature of the slop, °C",
                    ),
                ),
                (
                    "water_ml",
                    models.DecimalField(
                        blank=True, decimal_places=1, max_digits=7, null=True, verbose_name="water added, ml"
                    ),
                ),
                ("note", models.TextField(blank=True)),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="readings",
                        to="tiles.glazebatch",
                    ),
                ),
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
                "verbose_name": "reading of a batch",
                "verbose_name_plural": "readings of batches",
                "ordering": ["batch", "taken_on", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "flow_cup__in",
                                [
                                    "iso_4",
                                    "iso_5",
                                    "iso_6",
                                    "ford_4",
                                    "ford_5",
                                    "zahn_2",
                                    "zahn_4",
                                    "other",
                                    "",
                                ],
                            )
                        ),
                        name="batchreading_flow_cup_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("specific_gravity__gte", 1), ("specific_gravity__lte", 2.5)),
                            ("specific_gravity__isnull", True),
                            _connector="OR",
                        ),
                        name="batchreading_specific_gravity_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("flow_s__gte", 1), ("flow_s__lte", 999)),
                            ("flow_s__isnull", True),
                            _connector="OR",
                        ),
                        name="batchreading_flow_s_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("temp_c__gte", 0), ("temp_c__lte", 60)),
                            ("temp_c__isnull", True),
                            _connector="OR",
                        ),
                        name="batchreading_temp_c_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("water_ml__gte", 0), ("water_ml__lte", 99999)),
                            ("water_ml__isnull", True),
                            _connector="OR",
                        ),
                        name="batchreading_water_ml_plausible",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("flow_s__isnull", True),
                            models.Q(("flow_cup", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="batchreading_flow_names_its_cup",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("specific_gravity__isnull", False),
                            ("flow_s__isnull", False),
                            ("water_ml__isnull", False),
                            models.Q(("note", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="batchreading_says_something",
                    ),
                ],
            },
        ),
    ]

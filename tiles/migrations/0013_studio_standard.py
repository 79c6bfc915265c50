import django.db.models.deletion
import django.db.models.functions.text
import django.utils.timezone
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("tiles", "0012_saved_searches"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="HistoricalStudioStandard",
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
                        blank=True,
                        choices=[
                            ("glaze", "glaze"),
                            ("flux", "flux (layer)"),
                            ("underglaze", "underglaze"),
                            ("engobe", "engobe"),
                            ("wash", "wash"),
                        ],
                        default="glaze",
                        max_length=12,
                        verbose_name="for",
                    ),
                ),
                ("levels", models.JSONField(default=dict, editable=False)),
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
                "verbose_name": "historical studio standard",
                "verbose_name_plural": "historical studio standards",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="StudioStandard",
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
                        blank=True,
                        choices=[
                            ("glaze", "glaze"),
                            ("flux", "flux (layer)"),
                            ("underglaze", "underglaze"),
                            ("engobe", "engobe"),
                            ("wash", "wash"),
                        ],
                        default="glaze",
                        max_length=12,
                        verbose_name="for",
                    ),
                ),
                ("levels", models.JSONField(default=dict, editable=False)),
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
                "constraints": [
                    models.UniqueConstraint(
                        django.db.models.functions.text.Lower("name"),
                        condition=models.Q(("binned_at__isnull", True)),
                        name="studiostandard_name_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["glaze", "flux", "underglaze", "engobe", "wash", ""])
                        ),
                        name="studiostandard_kind_known",
                    ),
                ],
            },
        ),
    ]

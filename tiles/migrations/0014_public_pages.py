import django.db.models.deletion
import django.utils.timezone
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("tiles", "0013_studio_standard"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="HistoricalPublicPage",
            fields=[
                (
                    "id",
                    models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID"),
                ),
                (
                    "token",
                    models.CharField(db_index=True, editable=False, max_length=32),
                ),
                ("query", models.CharField(blank=True, max_length=300)),
                ("made_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("withdrawn_at", models.DateTimeField(blank=True, editable=False, null=True)),
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
                    "board",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="tiles.board",
                    ),
                ),
                (
                    "glaze",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="tiles.glaze",
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
                (
                    "made_by",
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
                    "tile",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="tiles.tile",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical public page",
                "verbose_name_plural": "historical public pages",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="PublicPage",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "token",
                    models.CharField(editable=False, max_length=32, unique=True),
                ),
                ("query", models.CharField(blank=True, max_length=300)),
                ("made_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("withdrawn_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "board",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="public_pages",
                        to="tiles.board",
                    ),
                ),
                (
                    "glaze",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="public_pages",
                        to="tiles.glaze",
                    ),
                ),
                (
                    "made_by",
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
                    "tile",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="public_pages",
                        to="tiles.tile",
                    ),
                ),
            ],
            options={
                "ordering": ["-made_at"],
                "permissions": [("publish", "Can make pages public")],
                "default_permissions": ("view",),
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("board__isnull", True),
                                ("glaze__isnull", True),
                                ("query", ""),
                                ("tile__isnull", False),
                            ),
                            models.Q(
                                ("board__isnull", True), ("glaze__isnull", False), ("tile__isnull", True)
                            ),
                            models.Q(
                                ("board__isnull", False),
                                ("glaze__isnull", True),
                                ("query", ""),
                                ("tile__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="publicpage_of_one_thing",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("tile__isnull", False)),
                        fields=("tile",),
                        name="publicpage_tile_once",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("glaze__isnull", False)),
                        fields=("glaze", "query"),
                        name="publicpage_sheet_once",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("board__isnull", False)),
                        fields=("board",),
                        name="publicpage_board_once",
                    ),
                ],
            },
        ),
    ]

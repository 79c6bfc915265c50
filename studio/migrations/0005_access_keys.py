import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("studio", "0004_sessions_mark"),
    ]

    operations = [
        migrations.CreateModel(
            name="AccessKey",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=60, verbose_name="what it is for")),
                ("key_hash", models.CharField(editable=False, max_length=64, unique=True)),
                ("begins", models.CharField(editable=False, max_length=8)),
                ("made_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("used_on", models.DateField(blank=True, editable=False, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="access_keys",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-made_at"],
            },
        ),
    ]

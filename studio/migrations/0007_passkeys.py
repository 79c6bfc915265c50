import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("studio", "0006_spreadsheets"),
    ]

    operations = [
        migrations.CreateModel(
            name="Passkey",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=60, verbose_name="where it is")),
                ("credential_id", models.CharField(editable=False, max_length=1400, unique=True)),
                ("public_key", models.BinaryField()),
                ("sign_count", models.PositiveBigIntegerField(default=0, editable=False)),
                ("person_handle", models.CharField(editable=False, max_length=88)),
                ("site", models.CharField(editable=False, max_length=253)),
                ("transports", models.JSONField(default=list, editable=False)),
                ("made_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("used_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="passkeys",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-made_at"],
            },
        ),
    ]

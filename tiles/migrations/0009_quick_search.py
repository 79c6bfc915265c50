from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("tiles", "0008_reading_without_photo")]

    operations = [
        migrations.CreateModel(
            name="ResultChange",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("about", models.CharField(max_length=8)),
                ("key", models.BigIntegerField()),
                ("stamp", models.BigIntegerField()),
                ("on_transaction", models.BigIntegerField(default=0)),
            ],
            options={
                "default_permissions": (),
                "indexes": [models.Index(fields=["on_transaction"], name="resultchange_transaction")],
            },
        ),
    ]

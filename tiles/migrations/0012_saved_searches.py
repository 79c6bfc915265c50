from django.db import migrations, models
from django.db.models.functions import Lower


class Migration(migrations.Migration):
    dependencies = [("tiles", "0011_print_tray")]

    operations = [
        migrations.AddConstraint(
            model_name="savedsearch",
            constraint=models.UniqueConstraint(
                models.F("owner"),
                Lower("name"),
                condition=models.Q(("binned_at__isnull", True)),
                name="savedsearch_name_once",
            ),
        ),
    ]

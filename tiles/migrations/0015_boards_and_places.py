from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0014_public_pages")]

    operations: list[migrations.operations.base.Operation] = []

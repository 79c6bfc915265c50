from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0016_laydown")]

    operations: list[migrations.operations.base.Operation] = []

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0018_loads")]

    operations: list[migrations.operations.base.Operation] = []

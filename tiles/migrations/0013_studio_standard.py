from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0012_saved_searches")]

    operations: list[migrations.operations.base.Operation] = []

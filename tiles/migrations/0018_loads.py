from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0017_laboratory")]

    operations: list[migrations.operations.base.Operation] = []

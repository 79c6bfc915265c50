from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0013_studio_standard")]

    operations: list[migrations.operations.base.Operation] = []

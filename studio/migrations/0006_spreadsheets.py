from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("studio", "0005_access_keys")]

    operations: list[migrations.operations.base.Operation] = []

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0011_print_tray")]

    operations: list[migrations.operations.base.Operation] = []

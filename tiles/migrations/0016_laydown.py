from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0015_boards_and_places")]

    operations: list[migrations.operations.base.Operation] = []

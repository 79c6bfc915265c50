from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0019_glazing_session")]

    operations: list[migrations.operations.base.Operation] = []

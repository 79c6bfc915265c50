from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("studio", "0004_sessions_mark")]

    operations: list[migrations.operations.base.Operation] = []

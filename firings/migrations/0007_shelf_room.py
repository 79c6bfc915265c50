from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("firings", "0006_segment_history_begins")]

    operations: list[migrations.operations.base.Operation] = []

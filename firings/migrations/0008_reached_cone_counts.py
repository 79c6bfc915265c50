from django.db import migrations

from firings.logbook.services import count_anew


def count_firings(apps, schema_editor):
    count_anew(apps.get_model("firings", "Firing").objects.using(schema_editor.connection.alias))


class Migration(migrations.Migration):
    """The cone that a firing counts as: between two cones, the one it was meant for."""

    dependencies = [("firings", "0007_shelf_room")]

    # A package made before this is taken in, too: what it counts is counted anew then.
    operations = [
        migrations.RunPython(
            count_firings, migrations.RunPython.noop, elidable=True, hints={"counts_anew": True}
        )
    ]

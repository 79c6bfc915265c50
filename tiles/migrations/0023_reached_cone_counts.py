from django.db import migrations

from firings.logbook.services import count_anew


def count_outcomes(apps, schema_editor):
    count_anew(apps.get_model("tiles", "Outcome").objects.using(schema_editor.connection.alias))


class Migration(migrations.Migration):
    """The copies follow their firings: between two cones, the one they were meant for."""

    dependencies = [("tiles", "0022_glaze_tags"), ("firings", "0008_reached_cone_counts")]

    # A package made before this is taken in, too: what it counts is counted anew then.
    operations = [
        migrations.RunPython(
            count_outcomes, migrations.RunPython.noop, elidable=True, hints={"counts_anew": True}
        )
    ]

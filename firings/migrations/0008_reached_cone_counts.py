from django.db import migrations

from firings.cones import series
from firings.heatwork.counted import counted_as


def count_firings(apps, schema_editor):
    """One write for each pair of reached and target cone, of which a studio of any size has few."""
    firings = apps.get_model("firings", "Firing").objects.using(schema_editor.connection.alias)
    fired = firings.filter(reached_number__isnull=False, target_order__isnull=False)
    for number, target in fired.order_by().values_list("reached_number", "target_order").distinct():
        order = counted_as(number, series.of_order(target).number).order
        alike = firings.filter(reached_number=number, target_order=target)
        alike.exclude(reached_order=order).update(reached_order=order)


class Migration(migrations.Migration):
    """The cone that a firing counts as: between two cones, the one it was meant for."""

    dependencies = [("firings", "0007_shelf_room")]

    # A package made before this is taken in, too: what it counts is counted anew then.
    operations = [
        migrations.RunPython(
            count_firings, migrations.RunPython.noop, elidable=True, hints={"counts_anew": True}
        )
    ]

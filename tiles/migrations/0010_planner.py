from django.db import migrations, models


def planned_for():
    return models.CharField(
        blank=True,
        choices=[("oxidation", "oxidation"), ("neutral", "neutral"), ("reduction", "reduction")],
        max_length=10,
        verbose_name="planned for",
    )


def planned_hold():
    return models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="planned hold, min")


class Migration(migrations.Migration):
    dependencies = [("tiles", "0009_quick_search")]

    operations = [
        migrations.AddField("tile", "planned_atmosphere", planned_for()),
        migrations.AddField("tile", "planned_hold_min", planned_hold()),
        migrations.AddField("historicaltile", "planned_atmosphere", planned_for()),
        migrations.AddField("historicaltile", "planned_hold_min", planned_hold()),
        migrations.AddConstraint(
            "tile",
            models.CheckConstraint(
                condition=models.Q(("planned_atmosphere__in", ["oxidation", "neutral", "reduction", ""])),
                name="tile_planned_atmosphere_known",
            ),
        ),
        migrations.AddConstraint(
            "tile",
            models.CheckConstraint(
                condition=models.Q(
                    models.Q(("planned_hold_min__gte", 0), ("planned_hold_min__lte", 6000)),
                    ("planned_hold_min__isnull", True),
                    _connector="OR",
                ),
                name="tile_planned_hold_min_plausible",
            ),
        ),
    ]

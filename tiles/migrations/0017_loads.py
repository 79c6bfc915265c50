from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("tiles", "0016_laydown")]

    operations = [
        migrations.AddField(
            model_name="historicalplacement",
            name="proposed",
            field=models.BooleanField(default=False, verbose_name="place as proposed"),
        ),
        migrations.AddField(
            model_name="historicalplacement",
            name="x_mm",
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="from the left, mm"),
        ),
        migrations.AddField(
            model_name="historicalplacement",
            name="y_mm",
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="from the back, mm"),
        ),
        migrations.AddField(
            model_name="placement",
            name="proposed",
            field=models.BooleanField(default=False, verbose_name="place as proposed"),
        ),
        migrations.AddField(
            model_name="placement",
            name="x_mm",
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="from the left, mm"),
        ),
        migrations.AddField(
            model_name="placement",
            name="y_mm",
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="from the back, mm"),
        ),
        migrations.AddConstraint(
            model_name="placement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("x_mm__isnull", True), ("y_mm__isnull", True)),
                    models.Q(("shelf__isnull", False), ("x_mm__isnull", False), ("y_mm__isnull", False)),
                    _connector="OR",
                ),
                name="placement_spot_lies_on_a_shelf",
            ),
        ),
    ]

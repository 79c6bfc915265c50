from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [("firings", "0006_segment_history_begins")]

    operations = [
        migrations.AddField(
            model_name='historicalshelf',
            name='shape',
            field=models.CharField(choices=[('rectangle', 'rectangular'), ('round', 'round')], default='rectangle', max_length=10),
        ),
        migrations.AddField(
            model_name='historicalwitnesscone',
            name='x_mm',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='from the left, mm'),
        ),
        migrations.AddField(
            model_name='historicalwitnesscone',
            name='y_mm',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='from the back, mm'),
        ),
        migrations.AddField(
            model_name='shelf',
            name='shape',
            field=models.CharField(choices=[('rectangle', 'rectangular'), ('round', 'round')], default='rectangle', max_length=10),
        ),
        migrations.AddField(
            model_name='witnesscone',
            name='x_mm',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='from the left, mm'),
        ),
        migrations.AddField(
            model_name='witnesscone',
            name='y_mm',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='from the back, mm'),
        ),
        migrations.AddConstraint(
            model_name='shelf',
            constraint=models.CheckConstraint(condition=models.Q(('shape__in', ['rectangle', 'round'])), name='shelf_shape_known'),
        ),
        migrations.AddConstraint(
            model_name='shelf',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('shape', 'round'), _negated=True), models.Q(('depth_mm__isnull', True), ('width_mm__isnull', True)), ('depth_mm', models.F('width_mm')), _connector='OR'), name='shelf_round_as_deep_as_wide'),
        ),
    ]

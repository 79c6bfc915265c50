from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("studio", "0003_worker")]

    operations = [
        migrations.AddField(
            model_name="person",
            name="sessions_mark",
            field=models.CharField(blank=True, editable=False, max_length=32),
        ),
    ]

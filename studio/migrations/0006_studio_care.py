from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("studio", "0005_imports")]

    operations = []

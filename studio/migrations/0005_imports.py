from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("studio", "0004_access_keys")]

    operations = []

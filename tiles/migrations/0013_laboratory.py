from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0012_glazing")]

    operations = []

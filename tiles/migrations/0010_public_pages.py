from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0009_quick_search")]

    operations = []

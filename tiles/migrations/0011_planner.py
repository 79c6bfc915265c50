from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0010_public_pages")]

    operations = []

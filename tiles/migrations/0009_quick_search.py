from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("tiles", "0008_reading_without_photo")]

    operations = []

from django.db import migrations
from django.db.models import F


def keep(apps, schema_editor):
    apps.get_model("inventory", "Container").objects.update(sealed_use_by_on=F("use_by_on"))


class Migration(migrations.Migration):
    dependencies = [("inventory", "0004_describe_materials")]

    operations = [migrations.RunPython(keep, migrations.RunPython.noop)]

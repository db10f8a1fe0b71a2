"""Breaks after all others were done, and deletes something first."""

from django.db import migrations


def _break(apps, schema_editor):
    apps.get_model("faults", "Wait").objects.all().delete()
    raise RuntimeError("this migration was written to break")


class Migration(migrations.Migration):
    atomic = False
    dependencies = [("faults", "0001_tables")]
    operations = [migrations.RunPython(_break, migrations.RunPython.noop)]

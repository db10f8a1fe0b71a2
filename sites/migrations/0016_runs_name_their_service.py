"""Runs were stored with the dotted path of their service, which would have to stay for ever."""

from django.db import migrations

NAMES = {
    "sites.services.water.ledger.rebuild_in_background": "rebuild water",
    "faults.services.load.uploads.preview_upload": "look at upload",
    "faults.services.load.uploads.load_upload": "load upload",
}


def name_services(apps, editor):
    for path, name in NAMES.items():
        apps.get_model("sites", "Run").objects.filter(service=path).update(service=name)


class Migration(migrations.Migration):
    dependencies = [("sites", "0015_days_estimated_from_temperatures")]
    operations = [migrations.RunPython(name_services, migrations.RunPython.noop, elidable=True)]

"""When a report was compared with the records, also where nothing differs."""

from django.db import migrations, models
from django.db.models import F
from django.utils import timezone


def as_seen(apps, _editor):
    """Say of earlier rows that they were compared when their changes were seen."""
    apps.get_model("reports", "ReportChange").objects.update(compared_at=F("seen_at"))


class Migration(migrations.Migration):
    dependencies = [("reports", "0004_goals")]

    operations = [
        migrations.AddField(
            "reportchange", "compared_at", models.DateTimeField(default=timezone.now),
            preserve_default=False,
        ),
        migrations.AddField("reportchange", "compared_of", models.BigIntegerField(null=True)),
        migrations.AlterField("reportchange", "first_seen_at", models.DateTimeField(null=True)),
        migrations.AlterField("reportchange", "seen_at", models.DateTimeField(null=True)),
        migrations.AlterField("reportchange", "changes", models.JSONField(default=list)),
        migrations.RunPython(as_seen, migrations.RunPython.noop, elidable=True),
    ]

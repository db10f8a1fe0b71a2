"""Mark days of climate tables that stand on temperatures alone; until now their source said so."""

from typing import Any

from django.db import migrations, models

# What the source of such a day ended in, in the languages of the pages.
SAID = (
    "; estimated from temperatures alone",
    "; estimado solo con temperaturas",
)


def mark(apps: Any, _schema: Any) -> None:
    rows = apps.get_model("sites", "ClimateRow").objects
    for words in SAID:
        rows.filter(day__isnull=False, source__endswith=words).update(is_estimated=True)


class Migration(migrations.Migration):
    dependencies = [
        ("sites", "0014_forms_are_taken_once"),
    ]

    operations = [
        migrations.AddField(
            model_name="climaterow",
            name="is_estimated",
            field=models.BooleanField(
                default=False, verbose_name="estimated from temperatures alone"
            ),
        ),
        migrations.AddField(
            model_name="historicalclimaterow",
            name="is_estimated",
            field=models.BooleanField(
                default=False, verbose_name="estimated from temperatures alone"
            ),
        ),
        migrations.RunPython(mark, migrations.RunPython.noop),
    ]

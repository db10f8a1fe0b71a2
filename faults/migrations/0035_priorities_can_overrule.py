from django.db import migrations, models


def keep_what_was_set(apps, schema_editor):
    """What somebody stands for already is left as it is: whether it overruled is not known."""
    apps.get_model('faults', 'Job').objects.filter(priority_by__isnull=False).update(
        priority_overrules=True
    )


class Migration(migrations.Migration):

    dependencies = [
        ('faults', '0034_search_kind_ohms'),
    ]

    operations = [
        migrations.AddField(
            model_name='historicaljob',
            name='priority_overrules',
            field=models.BooleanField(default=False, verbose_name='set against what is proposed'),
        ),
        migrations.AddField(
            model_name='job',
            name='priority_overrules',
            field=models.BooleanField(default=False, verbose_name='set against what is proposed'),
        ),
        migrations.RunPython(keep_what_was_set, migrations.RunPython.noop),
    ]

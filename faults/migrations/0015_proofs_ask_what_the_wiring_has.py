"""Let proofs hold what a two-wire path has, and a run at the clock."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('faults', '0001_tables'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name='proof',
            name='proof_ran_some_minutes',
        ),
        migrations.AddField(
            model_name='historicalproof',
            name='current_ma',
            field=models.FloatField(blank=True, null=True, verbose_name='current at the decoder, mA'),
        ),
        migrations.AddField(
            model_name='historicalproof',
            name='minutes_at_clock',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='minutes run at the clock'),
        ),
        migrations.AddField(
            model_name='proof',
            name='current_ma',
            field=models.FloatField(blank=True, null=True, verbose_name='current at the decoder, mA'),
        ),
        migrations.AddField(
            model_name='proof',
            name='minutes_at_clock',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='minutes run at the clock'),
        ),
        migrations.AlterField(
            model_name='historicalproof',
            name='minutes_from_central',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='minutes run from central'),
        ),
        migrations.AlterField(
            model_name='proof',
            name='minutes_from_central',
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='minutes run from central'),
        ),
        migrations.AlterField(
            model_name='proof',
            name='ohms',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='faults.reading'),
        ),
        migrations.AlterField(
            model_name='proof',
            name='volts',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='faults.reading'),
        ),
        migrations.AddConstraint(
            model_name='proof',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('minutes_at_clock__isnull', True), ('minutes_from_central__gte', 1), ('minutes_from_central__isnull', False)), models.Q(('minutes_at_clock__gte', 1), ('minutes_at_clock__isnull', False), ('minutes_from_central__isnull', True)), _connector='OR'), name='proof_ran_some_minutes'),
        ),
        migrations.AddConstraint(
            model_name='proof',
            constraint=models.CheckConstraint(condition=models.Q(('volts__isnull', False), ('current_ma__isnull', False), _connector='OR'), name='proof_has_volts_or_current'),
        ),
        migrations.AddConstraint(
            model_name='proof',
            constraint=models.CheckConstraint(condition=models.Q(('current_ma__isnull', True), ('current_ma__gte', 0), _connector='OR'), name='proof_current_not_negative'),
        ),
    ]

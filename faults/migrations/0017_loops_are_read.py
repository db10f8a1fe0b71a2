# Adds what a bring-home test keeps beside its ohms, its round, and what its station waits on.

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('faults', '0016_search_kinds_looked_and_mended'),
    ]

    operations = [
        migrations.AddField(
            model_name='historicalreading',
            name='across_ohms',
            field=models.FloatField(blank=True, null=True, verbose_name='across a coil of, ohms'),
        ),
        migrations.AddField(
            model_name='historicalreading',
            name='is_open_apart',
            field=models.BooleanField(blank=True, null=True, verbose_name='open before they were joined'),
        ),
        migrations.AddField(
            model_name='reading',
            name='across_ohms',
            field=models.FloatField(blank=True, null=True, verbose_name='across a coil of, ohms'),
        ),
        migrations.AddField(
            model_name='reading',
            name='is_open_apart',
            field=models.BooleanField(blank=True, null=True, verbose_name='open before they were joined'),
        ),
        migrations.AlterField(
            model_name='historicaljob',
            name='kind',
            field=models.CharField(choices=[('locate', 'locate'), ('dig and mend', 'dig and mend'), ('return to central', 'return to central'), ('wire check-up', 'wire check-up'), ('battery round', 'battery round'), ('station walk', 'station walk'), ('bring-home round', 'bring-home round')], max_length=20, verbose_name='kind'),
        ),
        migrations.AlterField(
            model_name='historicalreading',
            name='kind',
            field=models.CharField(choices=[('ohms', 'ohms'), ('volts', 'volts'), ('insulation', 'insulation, megohms'), ('distance', 'distance to the fault'), ('loop', 'bring-home test, ohms')], max_length=12, verbose_name='kind'),
        ),
        migrations.AlterField(
            model_name='job',
            name='kind',
            field=models.CharField(choices=[('locate', 'locate'), ('dig and mend', 'dig and mend'), ('return to central', 'return to central'), ('wire check-up', 'wire check-up'), ('battery round', 'battery round'), ('station walk', 'station walk'), ('bring-home round', 'bring-home round')], max_length=20, verbose_name='kind'),
        ),
        migrations.AlterField(
            model_name='reading',
            name='kind',
            field=models.CharField(choices=[('ohms', 'ohms'), ('volts', 'volts'), ('insulation', 'insulation, megohms'), ('distance', 'distance to the fault'), ('loop', 'bring-home test, ohms')], max_length=12, verbose_name='kind'),
        ),
        migrations.AlterField(
            model_name='wait',
            name='waits_on',
            field=models.CharField(choices=[('report', 'somebody to report the fault'), ('link', "the controller's link"), ('clients choice', 'the client, who wants it so'), ('visit', 'a visit to be scheduled'), ('visit day', 'the day of the visit'), ('visit result', 'the result of the visit'), ('ask', 'us to ask the client'), ('agree', "the client's yes to be entered"), ('answer', "the client's answer"), ('refused', 'another way, as the client said no'), ('notice', 'a notice to be given'), ('notice clear', 'the utilities to mark'), ('dig', 'a dig to be scheduled'), ('dig day', 'the day of the dig'), ('mend result', 'the mend to be recorded'), ('weather', 'the weather'), ('parts', 'parts'), ('access', 'access to the place'), ('proof', 'the proof with the coil running'), ('enable', "central's operator to enable it"), ('return', 'the timer to come out'), ('after return', 'the stopgap to be ended, as its fault is over'), ('given up', 'another way, as the search was given up'), ('bring home', 'us to bring it home, as its wire read sound')], max_length=20, verbose_name='waits on'),
        ),
    ]

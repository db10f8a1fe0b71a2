from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('sites', '0026_central_lists_from_a_folder'),
    ]

    operations = [
        migrations.AddField(
            model_name='historicalstation',
            name='second_coil_ohms',
            field=models.FloatField(blank=True, null=True, verbose_name='second coil, ohms'),
        ),
        migrations.AddField(
            model_name='station',
            name='second_coil_ohms',
            field=models.FloatField(blank=True, null=True, verbose_name='second coil, ohms'),
        ),
    ]

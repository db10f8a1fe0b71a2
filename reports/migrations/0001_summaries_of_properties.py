"""Keep figures of each property, with what touched them."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('sites', '0016_runs_name_their_service'),
    ]

    operations = [
        migrations.CreateModel(
            name='PropertySummary',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('subject', models.CharField(max_length=20)),
                ('touched', models.PositiveBigIntegerField(default=0)),
                ('made_of', models.PositiveBigIntegerField(null=True)),
                ('made_at', models.DateTimeField(null=True)),
                ('figures', models.JSONField(default=dict)),
                ('columns', models.BinaryField(default=b'')),
                ('property', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='sites.property')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('property', 'subject'), name='summary_once_a_property_and_subject')],
            },
        ),
    ]

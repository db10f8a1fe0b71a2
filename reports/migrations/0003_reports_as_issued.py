"""Reports as issued, with their files; the database refuses to change either."""

import sites.models.create_tables
import django.db.models.deletion
import simple_history.models
import sites.models.base
from django.conf import settings
from django.db import migrations, models

from sites.models.unchangeable import Unchangeable


class Migration(migrations.Migration):

    dependencies = [
        ('faults', '0026_who_called_and_what_was_promised'),
        ('reports', '0002_decisions_on_legs'),
        ('sites', '0021_loads_by_command'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        sites.models.create_tables.CreateTables(
            tables=[
                migrations.CreateModel(
                    name='HistoricalReportSeries',
                    fields=[
                        ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                        ('ref', models.CharField(db_index=True, default=sites.models.base.new_ref, editable=False, max_length=16)),
                        ('kind', models.CharField(choices=[('property', 'a property over a period'), ('client', 'all properties of a client over a period'), ('owner', "the owner's quarter"), ('proof', 'proof of the work on a fault'), ('damage', 'evidence of damage by others')], max_length=10, verbose_name='report')),
                        ('language', models.CharField(choices=[('en', 'English'), ('es', 'Spanish')], max_length=8, verbose_name='language')),
                        ('units', models.CharField(choices=[('US', 'US'), ('metric', 'metric')], max_length=8, verbose_name='units')),
                        ('paper', models.CharField(choices=[('letter', 'Letter'), ('a4', 'A4')], max_length=8, verbose_name='paper')),
                        ('audience', models.CharField(choices=[('client', 'the client'), ('us', 'ourselves')], max_length=8, verbose_name='for whom')),
                        ('shows_prices', models.BooleanField(default=False, verbose_name='with money')),
                        ('rhythm', models.CharField(choices=[('monthly', 'each month'), ('quarterly', 'each quarter')], max_length=10, verbose_name='how often')),
                        ('mail_to', models.CharField(blank=True, max_length=500, verbose_name='mailed to')),
                        ('next_from_on', models.DateField(verbose_name='first period')),
                        ('ended_on', models.DateField(blank=True, null=True, verbose_name='ended on')),
                        ('history_id', models.AutoField(primary_key=True, serialize=False)),
                        ('history_date', models.DateTimeField(db_index=True)),
                        ('history_change_reason', models.CharField(max_length=100, null=True)),
                        ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                        ('client', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='sites.client')),
                        ('desk', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to=settings.AUTH_USER_MODEL, verbose_name='whose desk it goes to')),
                        ('fault', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='faults.fault')),
                        ('history_user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                        ('property', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='sites.property')),
                    ],
                    options={
                        'verbose_name': 'historical report series',
                        'verbose_name_plural': 'historical report seriess',
                        'ordering': ('-history_date', '-history_id'),
                        'get_latest_by': ('history_date', 'history_id'),
                    },
                    bases=(simple_history.models.HistoricalChanges, models.Model),
                ),
                migrations.CreateModel(
                    name='Report',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('ref', models.CharField(default=sites.models.base.new_ref, editable=False, max_length=16, unique=True)),
                        ('kind', models.CharField(choices=[('property', 'a property over a period'), ('client', 'all properties of a client over a period'), ('owner', "the owner's quarter"), ('proof', 'proof of the work on a fault'), ('damage', 'evidence of damage by others')], max_length=10, verbose_name='report')),
                        ('language', models.CharField(choices=[('en', 'English'), ('es', 'Spanish')], max_length=8, verbose_name='language')),
                        ('units', models.CharField(choices=[('US', 'US'), ('metric', 'metric')], max_length=8, verbose_name='units')),
                        ('paper', models.CharField(choices=[('letter', 'Letter'), ('a4', 'A4')], max_length=8, verbose_name='paper')),
                        ('audience', models.CharField(choices=[('client', 'the client'), ('us', 'ourselves')], max_length=8, verbose_name='for whom')),
                        ('shows_prices', models.BooleanField(default=False, verbose_name='with money')),
                        ('from_on', models.DateField(verbose_name='from')),
                        ('until_on', models.DateField(verbose_name='until')),
                        ('number', models.PositiveIntegerField()),
                        ('version', models.PositiveSmallIntegerField(default=1)),
                        ('title', models.CharField(max_length=200)),
                        ('document', models.JSONField()),
                        ('data_sha256', models.CharField(max_length=64)),
                        ('state', models.JSONField(default=dict)),
                        ('made_at', models.DateTimeField()),
                        ('issued_at', models.DateTimeField()),
                        ('client', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sites.client')),
                        ('fault', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='faults.fault')),
                        ('issued_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                        ('made_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                        ('property', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sites.property')),
                        ('series', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='reports.reportseries')),
                    ],
                    options={
                        'indexes': [models.Index(fields=['property', '-issued_at'], name='report_by_property'), models.Index(fields=['client', '-issued_at'], name='report_by_client')],
                        'constraints': [models.UniqueConstraint(fields=('number', 'version'), name='report_numbered_once'), models.CheckConstraint(condition=models.Q(models.Q(('client__isnull', True), ('fault__isnull', True), ('kind', 'property'), ('property__isnull', False)), models.Q(('client__isnull', False), ('fault__isnull', True), ('kind', 'client'), ('property__isnull', True)), models.Q(('client__isnull', True), ('fault__isnull', True), ('kind', 'owner'), ('property__isnull', True)), models.Q(('client__isnull', True), ('fault__isnull', False), ('kind__in', ['proof', 'damage']), ('property__isnull', False)), _connector='OR'), name='report_is_about_one_thing'), models.CheckConstraint(condition=models.Q(('until_on__gte', models.F('from_on'))), name='report_ends_after_it_starts')],
                    },
                ),
                migrations.CreateModel(
                    name='ReportChange',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('first_seen_at', models.DateTimeField()),
                        ('seen_at', models.DateTimeField()),
                        ('changes', models.JSONField()),
                        ('report', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='change', to='reports.report')),
                    ],
                ),
                migrations.CreateModel(
                    name='ReportSeries',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('ref', models.CharField(default=sites.models.base.new_ref, editable=False, max_length=16, unique=True)),
                        ('kind', models.CharField(choices=[('property', 'a property over a period'), ('client', 'all properties of a client over a period'), ('owner', "the owner's quarter"), ('proof', 'proof of the work on a fault'), ('damage', 'evidence of damage by others')], max_length=10, verbose_name='report')),
                        ('language', models.CharField(choices=[('en', 'English'), ('es', 'Spanish')], max_length=8, verbose_name='language')),
                        ('units', models.CharField(choices=[('US', 'US'), ('metric', 'metric')], max_length=8, verbose_name='units')),
                        ('paper', models.CharField(choices=[('letter', 'Letter'), ('a4', 'A4')], max_length=8, verbose_name='paper')),
                        ('audience', models.CharField(choices=[('client', 'the client'), ('us', 'ourselves')], max_length=8, verbose_name='for whom')),
                        ('shows_prices', models.BooleanField(default=False, verbose_name='with money')),
                        ('rhythm', models.CharField(choices=[('monthly', 'each month'), ('quarterly', 'each quarter')], max_length=10, verbose_name='how often')),
                        ('mail_to', models.CharField(blank=True, max_length=500, verbose_name='mailed to')),
                        ('next_from_on', models.DateField(verbose_name='first period')),
                        ('ended_on', models.DateField(blank=True, null=True, verbose_name='ended on')),
                        ('client', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sites.client')),
                        ('desk', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL, verbose_name='whose desk it goes to')),
                        ('fault', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='faults.fault')),
                        ('property', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sites.property')),
                    ],
                    options={
                        'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('client__isnull', True), ('fault__isnull', True), ('kind', 'property'), ('property__isnull', False)), models.Q(('client__isnull', False), ('fault__isnull', True), ('kind', 'client'), ('property__isnull', True)), models.Q(('client__isnull', True), ('fault__isnull', True), ('kind', 'owner'), ('property__isnull', True)), models.Q(('client__isnull', True), ('fault__isnull', False), ('kind__in', ['proof', 'damage']), ('property__isnull', False)), _connector='OR'), name='series_is_about_one_thing')],
                    },
                ),
                migrations.CreateModel(
                    name='Draft',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('ref', models.CharField(default=sites.models.base.new_ref, editable=False, max_length=16, unique=True)),
                        ('kind', models.CharField(choices=[('property', 'a property over a period'), ('client', 'all properties of a client over a period'), ('owner', "the owner's quarter"), ('proof', 'proof of the work on a fault'), ('damage', 'evidence of damage by others')], max_length=10, verbose_name='report')),
                        ('language', models.CharField(choices=[('en', 'English'), ('es', 'Spanish')], max_length=8, verbose_name='language')),
                        ('units', models.CharField(choices=[('US', 'US'), ('metric', 'metric')], max_length=8, verbose_name='units')),
                        ('paper', models.CharField(choices=[('letter', 'Letter'), ('a4', 'A4')], max_length=8, verbose_name='paper')),
                        ('audience', models.CharField(choices=[('client', 'the client'), ('us', 'ourselves')], max_length=8, verbose_name='for whom')),
                        ('shows_prices', models.BooleanField(default=False, verbose_name='with money')),
                        ('from_on', models.DateField(verbose_name='from')),
                        ('until_on', models.DateField(verbose_name='until')),
                        ('title', models.CharField(max_length=200)),
                        ('document', models.JSONField()),
                        ('state', models.JSONField(default=dict)),
                        ('made_at', models.DateTimeField()),
                        ('client', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sites.client')),
                        ('desk', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                        ('fault', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='faults.fault')),
                        ('made_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                        ('property', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='sites.property')),
                        ('again_of', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='reports.report')),
                        ('series', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='reports.reportseries')),
                    ],
                    options={
                        'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('client__isnull', True), ('fault__isnull', True), ('kind', 'property'), ('property__isnull', False)), models.Q(('client__isnull', False), ('fault__isnull', True), ('kind', 'client'), ('property__isnull', True)), models.Q(('client__isnull', True), ('fault__isnull', True), ('kind', 'owner'), ('property__isnull', True)), models.Q(('client__isnull', True), ('fault__isnull', False), ('kind__in', ['proof', 'damage']), ('property__isnull', False)), _connector='OR'), name='draft_is_about_one_thing'), models.CheckConstraint(condition=models.Q(('until_on__gte', models.F('from_on'))), name='draft_ends_after_it_starts'), models.UniqueConstraint(condition=models.Q(('series__isnull', False)), fields=('series', 'from_on'), name='draft_once_a_series_and_period')],
                    },
                ),
                migrations.CreateModel(
                    name='ReportFile',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('name', models.CharField(max_length=40)),
                        ('sha256', models.CharField(max_length=64)),
                        ('size', models.PositiveIntegerField()),
                        ('content', models.BinaryField()),
                        ('report', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='files', to='reports.report')),
                    ],
                    options={
                        'constraints': [models.UniqueConstraint(fields=('report', 'name'), name='report_file_named_once')],
                    },
                ),
                migrations.CreateModel(
                    name='ReportSeen',
                    fields=[
                        ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                        ('first_at', models.DateTimeField()),
                        ('report', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='seen', to='reports.report')),
                        ('user', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                    ],
                    options={
                        'constraints': [models.UniqueConstraint(fields=('report', 'user'), name='report_seen_first_once')],
                    },
                ),
            ],
        ),
        Unchangeable(table='reports_report', name='report_never_changes'),
        Unchangeable(table='reports_reportfile', name='report_file_never_changes'),
    ]

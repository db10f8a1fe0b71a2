from django.db import migrations

from sites.models.trigrams import TrigramIndex


class Migration(migrations.Migration):
    dependencies = [
        ("faults", "0004_report_triage_authority_and_proof"),
        ("sites", "0008_parts_of_names_are_found_fast"),
    ]

    operations = [
        TrigramIndex(table="faults_fault", column="key", name="fault_key_parts"),
        TrigramIndex(table="faults_fault", column="summary", name="fault_summary_parts"),
    ]

"""Empty the tables whose rows the database keeps: only a test of real processes has to."""

from django.db import connection, transaction

from reports.models import Draft, Report, ReportChange, ReportFile, ReportSeen
from sites.models import AuditLine
from sites.models.unchangeable import VERBS, Unchangeable

KEPT = (
    Unchangeable(table="reports_report", name="report_never_changes"),
    Unchangeable(table="reports_reportfile", name="report_file_never_changes"),
    Unchangeable(table="sites_auditline", name="audit_line_never_changes"),
)


def forget_reports() -> None:
    """Delete what was issued, so that the database can be flushed; the rules stand again then.

    PostgreSQL truncates, which no rule on rows hears of.
    """
    kept = Report.objects.exists() or AuditLine.objects.exists()
    if connection.vendor != "sqlite" or not kept:
        return
    with transaction.atomic(), connection.cursor() as cursor:
        for rule in KEPT:
            for verb in VERBS:
                cursor.execute(f'DROP TRIGGER "{rule.name}_{verb}"')
        for model in (AuditLine, ReportSeen, ReportChange, Draft, ReportFile, Report):
            model._default_manager.all().delete()
        for rule in KEPT:
            for statement in rule.triggers():
                cursor.execute(statement)

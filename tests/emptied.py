"""Empty the tables whose rows the database keeps: a test that commits for real has to."""

from typing import Any

from django.db import connection, transaction
from django.test import TransactionTestCase

from reports.models import Draft, Report, ReportChange, ReportFile, ReportSeen
from sites.models import AuditLine
from sites.models.unchangeable import VERBS, Unchangeable

KEPT = (
    Unchangeable(table="reports_report", name="report_never_changes"),
    Unchangeable(table="reports_reportfile", name="report_file_never_changes"),
    Unchangeable(table="sites_auditline", name="audit_line_never_changes"),
)


def empty_before_each_flush() -> None:
    """Let Django's own clean-up after a test that commits get at rows that are kept."""
    flush = TransactionTestCase._fixture_teardown

    def emptied_first(case: Any) -> None:
        forget_what_is_kept()
        flush(case)

    TransactionTestCase._fixture_teardown = emptied_first


def forget_what_is_kept() -> None:
    """Delete what was issued and logged, so that all can be flushed; then the rules stand again.

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

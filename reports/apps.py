"""Answers across all of it."""

from importlib import import_module

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """The highest app: it reads both apps below it and nothing points at it."""

    name = "reports"

    def ready(self) -> None:
        """Say what is kept of each property, what it follows from, and when it is made."""
        evidence = import_module("reports.hotspots.services.evidence")
        summaries = import_module("reports.summaries.services.summaries")
        summaries.declare_summary(
            evidence.SUBJECT,
            evidence.make_evidence,
            saved=evidence.FOLLOWS_FROM,
            deleted=list(evidence.FOLLOWS_FROM),
        )
        import_module("sites.kernel.services.derived").declare_derived(
            "summaries",
            summaries.rebuild_all_summaries,
            kept=summaries.summaries_kept,
            after=("waits",),
        )
        rounds = import_module("faults.due.services.regular")
        rounds.QUARTER_HOURLY.append(
            rounds.Round("summaries", summaries.keep_summaries, rounds.QUARTER)
        )

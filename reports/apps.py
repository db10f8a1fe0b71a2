"""Answers across all of it."""

from importlib import import_module

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """The highest app: it reads both apps below it and nothing points at it."""

    name = "reports"

    def ready(self) -> None:
        """Say what is kept of each property, what it follows from, and when it is made."""
        summaries = import_module("reports.summaries.services.summaries")
        for name in (
            "reports.hotspots.services.evidence",
            "reports.off_central.services.counted",
            "reports.issued.services.checking",
        ):
            subject = import_module(name)
            summaries.declare_summary(
                subject.SUBJECT,
                subject.make,
                most_at_once=subject.MOST_AT_ONCE,
                saved=subject.FOLLOWS_FROM,
                deleted=subject.DELETED,
            )
        for name in ("reports.off_central.services.counted", "reports.issued.services.checking"):
            import_module("sites.stopgaps.services.spells").spells_rebuilt.connect(
                import_module(name).spells_changed, dispatch_uid=f"summary spells {name}"
            )
        import_module("faults.cases.services.break_back").ask_before_taking_back(
            import_module("reports.issued.services.listing").reports_that_list
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
        series = import_module("reports.issued.services.series")
        rounds.QUARTER_HOURLY.append(
            rounds.Round("report series", series.make_series, rounds.QUARTER)
        )
        checking = import_module("reports.issued.services.checking")
        rounds.QUARTER_HOURLY.append(
            rounds.Round("reports compared", checking.compare_wide, rounds.QUARTER)
        )
        kept = import_module("reports.summaries.services.kept_runs")
        rounds.QUARTER_HOURLY.append(rounds.Round("kept answers", kept.make_anew, rounds.QUARTER))
        _tell_programs()


def _tell_programs() -> None:
    """Let programs be told of what happens, the rounds send it, and the page of health say how."""
    telling = import_module("reports.hooks.services.telling")
    sending = import_module("reports.hooks.services.sending")
    spells = import_module("sites.stopgaps.services.spells")
    spells.spells_rebuilt.connect(telling.tell_of_spells, dispatch_uid="hooks spells")
    derived = import_module("sites.kernel.services.derived")
    derived.declare_when_settled(telling.told_when_settled)
    issuing = import_module("reports.issued.services.issuing")
    issuing.report_issued.connect(telling.tell_of_report, dispatch_uid="hooks reports")
    rounds = import_module("faults.due.services.regular")
    rounds.SENT_BESIDES.append(sending.ROUND)
    rounds.TIDIED_BESIDES["told"] = sending.forget_old
    health = import_module("faults.due.services.health")
    health.SENT_BESIDES.append(import_module("reports.hooks.services.standing").how_it_stands)

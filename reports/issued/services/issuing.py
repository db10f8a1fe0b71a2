"""Issue a report: it gets its number, its files are set, and from then on nothing of it changes."""

from datetime import datetime
from typing import Any

from django.db import IntegrityError
from django.db.models import Max
from django.dispatch import Signal
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from reports.issued.services.asking import Asked
from reports.issued.services.files import data_hash, photo_now, set_files
from reports.issued.services.mailing import mail_report
from reports.models import Draft, Report, ReportFile, ReportSeen
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, as_one_change, verb
from sites.models import Run, User
from sites.runs.services import Progress, UnableToFinish, start_run

ISSUE = "issue a report"
# Sent with `report` in the transaction that keeps it, so that rooms above can tell others.
report_issued = Signal()
TRIES = 5


class UnableToIssue(UnableToAct):
    """It cannot be issued."""


@verb(
    name="issue a report",
    action=Action.ISSUE_REPORTS,
    guard="its draft is still there",
    undo="none: it was handed out. Issue a new version beside it",
)
def start_issuing(*, draft: Draft, by: User, at: datetime) -> Run:
    """Issue a draft in the background; return the run, whose result names the report."""
    return start_run(
        service=ISSUE,
        title=_("Issue a report"),
        by=by,
        at=at,
        arguments={"user_id": by.pk, "draft": draft.ref},
    )


def issue_in_background(
    progress: Progress, *, user_id: int, draft: str, **later: Any
) -> dict[str, Any]:
    """Return the reference of the report that was issued."""
    by = User.objects.get(pk=user_id)
    with translation.override(by.language):
        found = Draft.objects.filter(ref=draft).first()
        if found is None:
            raise UnableToFinish(_("This draft is gone: it was issued or thrown away meanwhile."))
        try:
            report = issue(draft=found, by=by, at=timezone.now(), progress=progress)
        except UnableToIssue as no:
            raise UnableToFinish(str(no)) from None
    return {"report": report.ref}


def issue(*, draft: Draft, by: User, at: datetime, progress: Progress) -> Report:
    """Set the files under the next free number, then keep all of it at once.

    Setting takes its time, so it is done outside of the transaction: where somebody else took the
    number meanwhile, it is done again under the next.
    """
    for _try in range(TRIES):
        progress.say(_("Setting the pages"))
        report = _numbered(draft, by, at)
        files = set_files(report, photos=photo_now)
        progress.say(_("Keeping the report"))
        try:
            with as_one_change():
                keep_report(draft=draft, report=report, files=files, at=at)
        except IntegrityError:
            continue
        return report
    raise UnableToIssue(_("Others issue reports at this moment. Try again."))


def keep_report(*, draft: Draft, report: Report, files: list[ReportFile], at: datetime) -> None:
    """Keep a report with its files, take its draft off the desk; mail it where a series says so."""
    if not Draft.objects.filter(pk=draft.pk).delete()[0]:
        raise UnableToIssue(_("This draft is gone: it was issued or thrown away meanwhile."))
    report.save(force_insert=True)
    for file in files:
        file.report = report
    ReportFile.objects.bulk_create(files)
    mail_report(report, at=at)
    report_issued.send(sender=Report, report=report)


def _numbered(draft: Draft, by: User, at: datetime) -> Report:
    """Return the unsaved report: a new version beside an issued one, or a number of its own."""
    earlier = draft.again_of
    if earlier is not None:
        number = earlier.number
        versions = Report.objects.filter(number=number).aggregate(last=Max("version"))
        version = versions["last"] + 1
    else:
        last = Report.objects.aggregate(last=Max("number"))["last"] or 0
        number, version = last + 1, 1
    return Report(
        **Asked.of(draft).fields(),
        number=number,
        version=version,
        title=draft.title,
        document=draft.document,
        data_sha256=data_hash(draft.document),
        state=draft.state,
        made_at=draft.made_at,
        made_by=draft.made_by,
        issued_at=at,
        issued_by=by,
        series=draft.series,
    )


def note_seen(*, report: Report, by: User, at: datetime) -> None:
    """Keep when a user opened a report for the first time."""
    ReportSeen.objects.get_or_create(report=report, user=by, defaults={"first_at": at})

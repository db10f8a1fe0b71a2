"""The mail that says that a report of a series is there, with its link."""

from collections.abc import Sequence
from datetime import datetime

from django.conf import settings
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from faults.due.services.outbox import new_message_id, put_out
from faults.models import OutgoingMail
from reports.models import Report
from sites.models import User

LONGEST_SUBJECT = 200


def mail_report(report: Report, *, at: datetime) -> None:
    """Put a mail out to each address of the report's series, in the language of the report."""
    if report.series is None:
        return
    for address in addresses_of(report.series.mail_to):
        with translation.override(report.language):
            put_out(_mail(report, address, at))


def addresses_of(text: str) -> Sequence[str]:
    """Return the addresses of a list, which commas, semicolons or spaces part."""
    parted = text.replace(",", " ").replace(";", " ").split()
    return list(dict.fromkeys(each.casefold() for each in parted))


def _mail(report: Report, address: str, at: datetime) -> OutgoingMail:
    link = settings.SITE_URL + reverse("reports:issued", args=[report.ref])
    period = f"{report.from_on.isoformat()} – {report.until_on.isoformat()}"
    lines = [
        _("A report is there for you: %(title)s, %(period)s.")
        % {"title": report.title, "period": period},
        "",
        link,
        "",
        _("Sign in to read it, and to take it as PDF or as a workbook."),
        "",
    ]
    return OutgoingMail(
        key=f"report:{report.pk}:{address}"[:120],
        message_id=new_message_id(f"report-{report.ref}"),
        user=User.objects.filter(email__iexact=address, is_active=True).order_by("pk").first(),
        to=address,
        subject=f"{report}: {report.title}"[:LONGEST_SUBJECT],
        text="\n".join(lines),
        made_at=at,
        next_try_at=at,
    )

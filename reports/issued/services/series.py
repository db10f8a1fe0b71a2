"""Reports by rule: after each month or quarter one is put together and laid on a desk."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from faults.access import handlers_on
from faults.due.services.by_hand import LONGEST_NOTE, raise_by_hand
from reports.issued.engines.periods import MONTHS, last_day, next_start
from reports.issued.queries import reports_seen_by
from reports.issued.services.asking import Asked
from reports.issued.services.drafting import write_draft
from reports.issued.services.mailing import addresses_of
from reports.models import Draft, ReportSeries
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User, today_at

LONGEST_TO = 500


class UnableToSetUpSeries(UnableToAct):
    """The series cannot be so."""


@dataclass(frozen=True)
class SeriesFacts:
    """What a rule says besides what is asked."""

    rhythm: str
    next_from_on: date
    desk: User
    mail_to: str = ""


@verb(
    name="set up a series of reports",
    action=Action.ISSUE_REPORTS,
    guard="about a property, a client or all; it begins with a month; who is mailed may sign in "
    "and see it",
    undo="end a series of reports",
)
def set_up_series(*, asked: Asked, facts: SeriesFacts) -> ReportSeries:
    """Keep the rule. The first draft lies on the desk on the day after its period."""
    if asked.fault is not None:
        raise UnableToSetUpSeries(_("A report on one fault is made once: it has no series."))
    if facts.next_from_on.day != 1:
        raise UnableToSetUpSeries(_("Begin with the first day of a month."), field="next_from_on")
    series = ReportSeries(
        **asked.without_period(),
        rhythm=facts.rhythm,
        next_from_on=facts.next_from_on,
        desk=facts.desk,
        mail_to=", ".join(addresses_of(facts.mail_to)),
    )
    _refuse_strangers(series)
    series.save()
    return series


def _refuse_strangers(series: ReportSeries) -> None:
    """A mail holds nothing but a link: who cannot open it should not get one."""
    if len(series.mail_to) > LONGEST_TO:
        raise UnableToSetUpSeries(_("These are too many addresses."), field="mail_to")
    for address in addresses_of(series.mail_to):
        people = User.objects.filter(email__iexact=address, is_active=True)
        if not any(reports_seen_by(person, series) for person in people):
            words = _(
                "Nobody with the address %s may sign in and see this report. Invite that person "
                "first, or take the address out."
            )
            raise UnableToSetUpSeries(words % address, field="mail_to")


@verb(
    name="end a series of reports",
    action=Action.ISSUE_REPORTS,
    guard="it has not ended",
    undo="set up a series of reports",
)
def end_series(*, series: ReportSeries, today: date) -> None:
    """Make no more of them; drafts and issued reports stay."""
    if series.ended_on is not None:
        raise UnableToSetUpSeries(_("It has ended already."))
    series.ended_on = today
    series.save()


def make_series(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Put together what is due: the round of each day. A period that was missed is made later."""
    made = 0
    for series in ReportSeries.objects.filter(ended_on=None).order_by("pk"):
        while _is_due(series, at):
            _make_next(series, at)
            made += 1
            go_on()
    return {"made": made}


def _is_due(series: ReportSeries, at: datetime) -> bool:
    """Once its last day is over at all of its properties."""
    end = last_day(series.next_from_on, series.rhythm)
    places = Asked.of_series(series, series.next_from_on, end).places()
    return bool(places) and all(today_at(place, at) > end for place in places)


@transaction.atomic
def _make_next(series: ReportSeries, at: datetime) -> Draft:
    """Lay the draft on the desk, and say so in what is due there."""
    start = series.next_from_on
    asked = Asked.of_series(series, start, last_day(start, series.rhythm))
    draft = write_draft(asked=asked, by=None, desk=series.desk, at=at, series=series)
    series.next_from_on = next_start(start, MONTHS[series.rhythm])
    series.save()
    place = asked.places()[0]
    what = _("Look at the report and issue it: %(title)s, %(from)s – %(until)s") % {
        "title": draft.title,
        "from": asked.from_on,
        "until": asked.until_on,
    }
    today = today_at(place, at)
    # Who may no longer do what is due there is not handed it: then it is everybody's.
    may_do = handlers_on(place).filter(pk=series.desk_id).exists()
    raise_by_hand(
        place=place,
        what=what[:LONGEST_NOTE],
        due_on=today,
        by=series.desk,
        today=today,
        handed_to=series.desk if may_do else None,
    )
    return draft

"""A draft: put together in the background, looked at, thrown away or issued."""

from datetime import date, datetime
from typing import Any

from django.utils import timezone, translation
from django.utils.translation import gettext as _

from reports.issued.engines.periods import period_before
from reports.issued.services.asking import Asked, composer
from reports.issued.services.composing import compose, title_of
from reports.models import Draft, PropertySummary, Report, ReportKind
from sites.documents.engines.document import as_json
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Run, User, today_at
from sites.runs.services import Progress, UnableToFinish, start_run

WRITE = "write a report"
# The subject of `PropertySummary` that is touched by whatever a report says; see `checking`.
SUBJECT = "reports 1"
LONGEST_TITLE = 200


class UnableToWriteReport(UnableToAct):
    """It cannot be put together so."""


def start_writing(*, asked: Asked, by: User, at: datetime, again_of: Report | None = None) -> Run:
    """Put a report together in the background; return the run, whose result names the draft."""
    return start_run(
        service=WRITE,
        title=_("Put a report together"),
        by=by,
        at=at,
        arguments={
            "user_id": by.pk,
            "asked": asked.as_arguments(),
            "again_of": again_of and again_of.pk,
        },
    )


def write_in_background(
    progress: Progress, *, user_id: int, asked: dict[str, Any], again_of: int | None, **later: Any
) -> dict[str, Any]:
    """Return the reference of the draft."""
    by = User.objects.get(pk=user_id)
    try:
        draft = write_draft(
            asked=Asked.kept(asked),
            by=by,
            desk=by,
            at=timezone.now(),
            again_of=Report.objects.filter(pk=again_of).first() if again_of else None,
            progress=progress,
        )
    except UnableToWriteReport as no:
        raise UnableToFinish(str(no)) from None
    return {"draft": draft.ref}


def write_draft(
    *,
    asked: Asked,
    by: User | None,
    desk: User,
    at: datetime,
    again_of: Report | None = None,
    series: Any = None,
    progress: Progress | None = None,
) -> Draft:
    """Compose the document and keep it as a draft on somebody's desk."""
    refuse_wrong_period(asked, at)
    state = state_of(asked)
    document = compose(asked, at=at, by=by, progress=progress)
    with translation.override(asked.language):
        title = title_of(asked)[:LONGEST_TITLE]
    return Draft.objects.create(
        **asked.fields(),
        title=title,
        document=as_json(document),
        state=state,
        made_at=at,
        made_by=by,
        desk=desk,
        again_of=again_of,
        series=series,
    )


def refuse_wrong_period(asked: Asked, at: datetime) -> None:
    """Refuse days that are the wrong way round or have not come anywhere.

    Raises:
        UnableToWriteReport: and which field is wrong.
    """
    places = asked.places()
    today = max((today_at(place, at) for place in places), default=at.date())
    if asked.until_on < asked.from_on:
        raise UnableToWriteReport(_("The last day lies before the first one."), field="until_on")
    if asked.until_on > today:
        raise UnableToWriteReport(
            _("The last day has not come yet: give a day up to today."), field="until_on"
        )


def refuse_another_thing(asked: Asked, again_of: Report | None) -> None:
    """Refuse a new version of a report that is about something else.

    Raises:
        UnableToWriteReport: always on the kind, where the choice is made.
    """
    if again_of is None:
        return
    before = Asked.of(again_of)
    names = ("kind", "place", "client", "fault", "round")
    if any(getattr(asked, name) != getattr(before, name) for name in names):
        raise UnableToWriteReport(
            _("A new version is about the same as the earlier one."), field="kind"
        )


def state_of(asked: Asked) -> dict[str, int]:
    """Return which state of the data a report is read from.

    By property how often it was touched, and which version of our own code says it.
    """
    places = [place.pk for place in asked.places()]
    rows = PropertySummary.objects.filter(subject=SUBJECT, property__in=places)
    touched = {str(place): n for place, n in rows.order_by().values_list("property_id", "touched")}
    counted = {str(place): touched.get(str(place), 0) for place in places}
    return {**counted, "composer": composer(asked.kind)}


@verb(
    name="throw a draft of a report away",
    action=Action.ISSUE_REPORTS,
    guard="it is not issued",
    undo="put the report together again",
)
def throw_away(*, draft: Draft) -> None:
    """Delete a draft: nobody was given it."""
    draft.delete()


def first_period(kind: str, today: date) -> tuple[date, date]:
    """Return the period that a form offers: the last whole month, or the owner's quarter."""
    return period_before(today, "quarterly" if kind == ReportKind.OWNER else "monthly")

"""What the moves up to "mended" ask for and keep. Each returns the words beside the move."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import TypeVar

from django.db.models import Q
from django.utils.translation import gettext as _

from faults.cases.engines.consent import Limit, covers
from faults.cases.engines.stages import CLOSED, Stage
from faults.cases.engines.warranty import warranty_end
from faults.cases.services.asking import close_question_with_yes
from faults.cases.services.assign import assign_for_a_day, give_fault_to_crew
from faults.cases.services.man_hours import in_hours
from faults.cases.services.opened import refuse_nothing_was_dug
from faults.cases.services.report import refuse_second_open_fault
from faults.cases.services.spending import hours_words, spending_of
from faults.cases.services.told import Consent, Finding, Mending, Step, UnableToMove, Visit
from faults.models import Authority, Break, Crew, Fault, FaultStation, Job
from faults.models.kind import first_kinds
from sites.kernel.services.verb_days import refuse_ahead
from sites.models import Property, StandingAuthority, User

T = TypeVar("T")


def told_as(step: Step, kind: type[T]) -> T:
    """Return the facts given with the move, which must be of this type."""
    if not isinstance(step.facts, kind):
        raise UnableToMove(_("This step needs more than its day: open it from the fault's page."))
    return step.facts


def schedule(step: Step) -> str:
    """Give the fault to those who go: a job's crew, or one person where there are no crews."""
    visit = told_as(step, Visit)
    if visit.day < step.on:
        raise UnableToMove(
            _("The visit lies before the day on which it was scheduled. Correct either day."),
            field="day",
        )
    if visit.job is not None:
        return f"{_give_to_crew(step, visit.job)}, {visit.day.isoformat()}"
    if visit.who is None:
        raise UnableToMove(_("Who goes?"), field="who")
    assign_for_a_day(step.fault, visit.who, visit.day)
    return f"{visit.who}, {visit.day.isoformat()}"


def _give_to_crew(step: Step, job: Job) -> Crew:
    """Let the technicians and tracers of the job's crew on its day see the fault."""
    if job.kind not in first_kinds(step.fault.symptom) or job.fault_id != step.fault.pk:
        raise UnableToMove(_("That job does not locate this fault. Plan one that does."))
    if job.crew is None or job.day is None:
        raise UnableToMove(_("That job has no crew and day yet. Assign it first."))
    give_fault_to_crew(step.fault, job.crew, job.day)
    return job.crew


def find(step: Step) -> str:
    """Ask for a break, or for a cause outside the wire: such a fault needs no leg."""
    finding = step.facts if isinstance(step.facts, Finding) else Finding()
    fault, words = step.fault, finding.cause_outside.strip()
    if words:
        fault.cause_outside, fault.cause_side = words, finding.side
        return words
    if not fault.breaks.exists() and not fault.is_outside_the_wire():
        raise UnableToMove(
            _("Record the break first, or say in words what it was, if it was not the wire."),
            field="cause_outside",
        )
    return ""


def agree(step: Step) -> str:
    """Keep the client's yes, or the standing authority that covers the work."""
    consent = told_as(step, Consent)
    standing = _standing_for(step, consent) if consent.is_standing else None
    given_by = standing.given_by if standing else consent.given_by.strip()
    given_on = step.on if standing else consent.given_on
    if not given_by:
        raise UnableToMove(_("Who said yes?"), field="given_by")
    if given_on is None:
        raise UnableToMove(_("On which day did they say yes?"), field="given_on")
    refuse_ahead(given_on, step.today, field="given_on")
    kept = replace(consent, given_by=given_by)
    keep_yes(step.fault, step.rows, kept, given_on, by=step.by, standing=standing)
    if standing is None:
        close_question_with_yes(step.fault, on=given_on)
    return given_by


def keep_yes(
    fault: Fault,
    rows: Iterable[FaultStation],
    consent: Consent,
    given_on: date,
    *,
    by: User,
    standing: StandingAuthority | None = None,
) -> Authority:
    """Keep a yes for some stations of a fault: from its day on its limit holds."""
    kept = Authority.objects.create(
        fault=fault,
        given_by=consent.given_by,
        given_on=given_on,
        up_to_hours=consent.limit.hours,
        up_to_amount=consent.limit.amount,
        standing=standing,
        entered_by=by,
    )
    kept.stations.set(rows)
    return kept


def _standing_for(step: Step, consent: Consent) -> StandingAuthority:
    on_that_day = standing_on(step.fault.property, step.on)
    if not on_that_day:
        raise UnableToMove(
            _("No standing authority holds here on that day. Ask the client, and enter the yes."),
            field="is_standing",
        )
    spent = in_hours(spending_of(step.fault, at=step.at).used_man_min)
    hours = consent.limit.hours
    stated = Limit(None if hours is None else hours + spent, consent.limit.amount)
    for one in on_that_day:
        if covers(Limit(one.up_to_hours, one.up_to_amount), stated):
            return one
    words = _(
        "The standing authority does not cover this: %(limits)s. State hours and money within "
        "it, or ask the client and enter the yes."
    ) % {"limits": "; ".join(limits_in_words(one) for one in on_that_day)}
    if spent:
        words += " " + _("Earlier visits used %s man-hours of it.") % hours_words(spent)
    raise UnableToMove(words, field="is_standing")


def standing_on(place: Property, day: date) -> list[StandingAuthority]:
    """Return the client's standing authority here on this day, newest first."""
    rows = StandingAuthority.objects.filter(property=place, from_on__lte=day)
    return list(rows.filter(Q(to_on=None) | Q(to_on__gt=day)).order_by("-from_on", "-pk"))


def limits_in_words(one: StandingAuthority | Authority) -> str:
    """Return the limits of an authority as words, empty where it names none."""
    hours = _("up to %s hours") % one.up_to_hours.normalize() if one.up_to_hours else ""
    amount = _("up to %s in money") % one.up_to_amount if one.up_to_amount else ""
    return ", ".join(word for word in (hours, amount) if word)


def mend(step: Step) -> str:
    """Keep how it was mended, on the breaks that were mended by it."""
    mending = told_as(step, Mending)
    how = mending.how.strip()
    if not how:
        raise UnableToMove(_("How was it mended?"), field="how")
    if mending.nothing_was_dug:
        refuse_nothing_was_dug(step.fault, field="nothing_was_dug")
    elif any(row.stage == Stage.FOUND for row in step.rows):
        raise UnableToMove(
            _(
                "Nobody has agreed to a dig yet. Enter the yes first, or say that it was at the "
                "terminals or in an open box and nothing was dug."
            ),
            field="nothing_was_dug",
        )
    for one in mending.breaks:
        _mend_break(step, one, how)
    return how


def _mend_break(step: Step, one: Break, how: str) -> None:
    if one.fault_id != step.fault.pk or one.mended_on is not None:
        raise UnableToMove(
            _("One of these breaks was mended already. Open the fault again."), field="breaks"
        )
    if one.found_on is not None and step.on < one.found_on:
        raise UnableToMove(
            _("The break was found on %s, after this day.") % one.found_on.isoformat(), field="on"
        )
    one.mended_on, one.how_mended = step.on, how
    one.warranty_until = one.warranty_until or warranty_end(
        step.on, step.fault.property.warranty_days
    )
    one.save()


def reopen(step: Step) -> None:
    """Ask what coming back to "reported" asks for; from "scheduled" that is a reason only."""
    _refuse_while_a_visit_stands(step)
    closed = [row for row in step.rows if Stage(row.stage) in CLOSED]
    for row in closed:
        if row.station.retired_on or row.station.controller.retired_on:
            raise UnableToMove(_("%s is retired. Bring it back first.") % row.station)
    refuse_second_open_fault([row.station for row in closed], besides=step.fault)
    if any(row.stage == Stage.RETURNED for row in closed):
        _refuse_out_of_warranty(step)


def _refuse_while_a_visit_stands(step: Step) -> None:
    """A station that a crew is sent to stays scheduled: the visit is called back, not the stage."""
    waiting = [row.station_id for row in step.rows if row.stage == Stage.SCHEDULED]
    if not waiting:
        return
    visit = visit_that_stands(step.fault, waiting)
    if visit is not None and visit.day is not None:
        raise UnableToMove(
            _(
                "%(crew)s goes there on %(day)s. Take that job from its crew or withdraw it, with "
                "the reason: its stations then go back to reported."
            )
            % {"crew": visit.crew, "day": visit.day.isoformat()}
        )


def visit_that_stands(fault: Fault, stations: Iterable[int]) -> Job | None:
    """Return the next visit that looks for the fault at one of these stations, or None."""
    kinds = first_kinds(fault.symptom)
    visits = Job.objects.open().assigned().filter(fault=fault, kind__in=kinds)
    meant = visits.filter(Q(stations__isnull=True) | Q(stations__in=stations))
    return meant.select_related("crew").order_by("day", "pk").first()


def _refuse_out_of_warranty(step: Step) -> None:
    mended = step.fault.breaks.filter(mended_on__lte=step.on)
    if not any(_warranty_of(one, step) for one in mended.order_by("pk")):
        raise UnableToMove(
            _("No mend of this fault is under warranty on that day. Report a new fault instead.")
        )


def _warranty_of(one: Break, step: Step) -> bool:
    agreed = step.fault.property.warranty_days
    until = one.warranty_until or (warranty_end(one.mended_on, agreed) if one.mended_on else None)
    return until is not None and step.on <= until

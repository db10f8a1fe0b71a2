"""All that a sheet shows, as plain data: it must do for a day without signal."""

from datetime import date, datetime

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from faults.cases.engines.stages import CLOSED
from faults.cases.queries import legs_to_choose
from faults.cases.services.man_hours import entered_man_min, people_on
from faults.cases.services.opened import in_the_ground
from faults.cases.services.spending import Spending, spending_of
from faults.cases.services.stays_on import stays_on_words
from faults.models import (
    STAGE_CHOICES,
    Fault,
    FaultStation,
    Job,
    JobKind,
    JobState,
    Reading,
    ReadingKind,
    SheetItem,
)
from faults.rounds.services.of_job import progress_of_job
from faults.rounds.services.progress import Progress
from faults.sheet.forms import homes, rounds, steps, steps_mended
from faults.sheet.forms.fields import Plain, length_unit
from faults.sheet.forms.left import left_part
from faults.sheet.forms.search_step import search_step
from faults.sheet.forms.steps_found import MOST_LEGS, found
from faults.sheet.forms.there import there_step
from faults.sheet.services.fault_items import undone_by
from faults.sheet.services.words import kinds_in_words, sheet_words
from faults.work.engines.kinds import WALKS
from faults.work.services.arriving import arrival_words
from faults.work.services.doing import lacks_to_start, short_of_skill
from faults.work.services.readiness import readiness_of
from faults.work.services.safety import hand_dug_of
from faults.work.services.spending_words import near_words
from sites.models import Station, User, today_at

# Visits to many stations, whatever fault they may be for.
ROUNDS = WALKS | {JobKind.BATTERIES.value, JobKind.BRING_HOME.value}
MOST_NEIGHBOURS = 60
MOST_ITEMS = 120
# More names than these make no heading.
MOST_IN_HEADING = 2
# Of these the sender may say, having seen both, that its own value holds.
MAY_INSIST = frozenset({"walk", "battery", "found"})
# Where a thing leads, before the server has said so: what follows must not wait for signal.
LEADS_TO = {
    "found": "found",
    "outside": "found",
    "mended": "mended",
    "proven": "proven",
    "returned": "returned",
    "still dead": "found",
}


def user_key(user: User) -> str:
    """Return the key of this user's store on a phone: a store holds one user's things only."""
    return f"u{user.pk}"


def sheet_payload(*, job: Job, user: User, today: date, at: datetime) -> Plain:
    """Return the sheet of a job for this user. The job comes with its fault and property."""
    rows = _rows(job)
    items = _items_of(job, user)
    return {
        "user": user_key(user),
        "stamp": at.isoformat(),
        "job": {**_head(job), "about": _about(rows)},
        "stations": [_station(row) for row in rows],
        "stages": {stage: str(words) for stage, words in STAGE_CHOICES},
        "leads_to": LEADS_TO,
        "undone_by": undone_by(job, user),
        "breaks": _breaks(job.fault),
        "authority": _authority(job, at),
        "steps": _steps(job, rows, user, today, at),
        "items": [item_plain(item) for item in items],
        "kinds": kinds_in_words(),
        "words": sheet_words(),
    }


def _rows(job: Job) -> list[FaultStation]:
    if job.fault is None:
        return []
    rows = job.fault.stations.select_related("station__controller")
    named = list(job.stations.values_list("pk", flat=True))
    rows = rows.filter(station__in=named) if named else rows
    ordered = rows.order_by("station__controller__name", "station__number", "pk")
    return [row for row in ordered if row.stage not in {stage.value for stage in CLOSED}]


def _about(rows: list[FaultStation]) -> str:
    """Which stations it is about: by name the first, and how many more there are."""
    named = ", ".join(str(row.station) for row in rows[:MOST_IN_HEADING])
    more = len(rows) - MOST_IN_HEADING
    return (
        _("%(stations)s and %(more)s more") % {"stations": named, "more": more}
        if more > 0
        else named
    )


def _head(job: Job) -> Plain:
    place, fault = job.property, job.fault
    kind = capfirst(str(job.get_kind_display()))
    return {
        "ref": job.ref,
        "kind": job.kind,
        "title": f"{kind}: {fault}" if fault else f"{kind}, {place}",
        "place": place.name or place.code,
        "address": place.address,
        "length": length_unit(place),
        "state": job.state,
        "day": job.day.isoformat() if job.day else "",
        "starts_at": job.starts_at.strftime("%H:%M") if job.starts_at else "",
        "crew": str(job.crew or ""),
        "minutes": job.expected_minutes,
        "actual_minutes": job.actual_minutes,
        "started_at": job.started_at.isoformat() if job.started_at else "",
        "fault": str(fault or ""),
        "symptom": fault.symptom_words() if fault else "",
        "urgent": stays_on_words(fault) if fault and fault.wastes_water() else "",
        "summary": _summary(fault) if fault else "",
        "promised": arrival_words(fault) if job.state == JobState.PLANNED else "",
        "notes": job.notes,
        "held": str(job.get_held_for_display()) if job.held_for else "",
    }


def _summary(fault: Fault) -> str:
    """What is known of the fault, and who called: whom the crew may ask."""
    called = _("Caller: %s") % fault.caller if fault.caller else ""
    return "\n".join(filter(None, [fault.summary, called]))


def _station(row: FaultStation) -> Plain:
    return {
        "row": row.pk,
        "station": row.station_id,
        "name": str(row.station),
        "title": row.station.name,
        "stage": row.stage,
    }


def _breaks(fault: Fault | None) -> list[list[object]]:
    if fault is None:
        return []
    rows = list(fault.breaks.select_related("leg").order_by("running_number", "pk"))
    dug = {one.pk for one in in_the_ground(fault, rows)}
    return [[one.pk, str(one), one.mended_on is not None, one.pk in dug] for one in rows]


def _authority(job: Job, at: datetime) -> Plain | None:
    """Return what is left of the limit for this fault, without this visit's own minutes."""
    if job.fault is None:
        return None
    spent = spending_of(job.fault, at=at, besides=job)
    if not spent.is_allowed:
        return None
    left = spent.left_man_min
    return {
        "left_man_min": None if left is None else round(left),
        "people": people_on(job, today_at(job.property, at)),
        "entered_man_min": entered_man_min(job),
        "amount": _amount_words(spent),
        # Sums of money are not for everybody on a phone: the share that is used is.
        "near": near_words(spent.share),
        "by": spent.given_by,
    }


def _amount_words(spent: Spending) -> str:
    if spent.up_to_amount is None:
        return ""
    return f"{spent.up_to_amount} {spent.currency}".rstrip()


def _steps(
    job: Job, rows: list[FaultStation], user: User, today: date, at: datetime
) -> list[Plain]:
    readiness = readiness_of([job], today=today)[job.pk]
    lacking = _lacking(job, user, today)
    visit = steps.Visit(
        job,
        rows,
        _neighbours(rows),
        readiness,
        _last_ohms(rows),
        hand_dug_of(job, at=at),
        user,
        today,
        lacking,
        _short_of_skill(job, today),
    )
    first, last = steps.before(visit), steps.finish(visit)
    near, others = legs_to_choose(job.fault) if job.fault else ([], [])
    there = there_step(job, [row.station for row in rows], near, user, today)
    if job.kind in ROUNDS or job.fault is None:
        return [first, there, _round(job, today), last]
    legs = [*near, *others][:MOST_LEGS]
    searching = [
        steps.arrive(visit),
        search_step(job.fault, rows, today, at=at),
        found(job.fault, legs),
    ]
    ending = [each(visit) for each in steps_mended.ENDING]
    return [first, there, *searching, steps.digging(visit), *ending, last]


def _round(job: Job, today: date) -> Plain:
    come, _visit = progress_of_job(job)
    step = _step_of_round(job, come, today)
    left = left_part(job, come)
    return step if left is None else {**step, "left": left}


def _step_of_round(job: Job, come: Progress, today: date) -> Plain:
    if job.kind in WALKS:
        return rounds.walk_step(job, come, today)
    if job.kind == JobKind.BATTERIES:
        return rounds.battery_step(job, today)
    if job.kind == JobKind.BRING_HOME:
        return homes.home_step(job, today)
    return rounds.check_up_step(job, come, today)


def _lacking(job: Job, user: User, today: date) -> str:
    """What keeps this user from starting on the day of the visit, before anybody drives there."""
    if job.state != JobState.PLANNED:
        return ""
    return lacks_to_start(job=job, by=user, today=max(today, job.day or today))


def _short_of_skill(job: Job, today: date) -> str:
    """What the crew lacks in skill on the day of the visit; it stops nobody who stands there."""
    is_planned = job.state == JobState.PLANNED
    return short_of_skill(job, max(today, job.day or today)) if is_planned else ""


def _neighbours(rows: list[FaultStation]) -> list[Station]:
    """Return the other stations of the same controllers: which run tells where to look."""
    clocks = {row.station.controller_id for row in rows}
    others = Station.objects.in_care().filter(controller__in=clocks)
    others = others.exclude(pk__in=[row.station_id for row in rows]).select_related("controller")
    return list(others.order_by("controller__name", "number", "pk")[:MOST_NEIGHBOURS])


def _last_ohms(rows: list[FaultStation]) -> dict[int, Reading]:
    found_rows = Reading.objects.filter(
        station__in=[row.station_id for row in rows],
        kind=ReadingKind.OHMS,
        voided_on__isnull=True,
    )
    return {one.station_id: one for one in found_rows.order_by("taken_on", "pk")}


def _items_of(job: Job, user: User) -> list[SheetItem]:
    rows = SheetItem.objects.filter(job=job, user=user).order_by("-happened_at", "-received_at")
    return list(rows[:MOST_ITEMS])[::-1]


def item_plain(item: SheetItem) -> Plain:
    """Return what became of one thing, as the phone keeps it."""
    return {
        "id": str(item.pk),
        "kind": item.kind,
        "at": item.at.isoformat(),
        "answer": item.answer,
        "why": item.why,
        "mine": item.mine,
        "theirs": item.theirs,
        "may_insist": item.kind in MAY_INSIST,
        "made": item.made,
        "body": item.body,
        "settled": item.settled_at is not None,
    }

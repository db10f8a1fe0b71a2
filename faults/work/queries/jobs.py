"""Reads of jobs, their lines, and crews."""

from datetime import date, timedelta

from django.db.models import F, IntegerField, Max, OuterRef, Prefetch, Q, QuerySet, Subquery

from faults.access import crews_for, job_lines_for, jobs_for
from faults.cases.engines.stages import CLOSED
from faults.models import (
    OPEN_JOB_STATES,
    BatchLine,
    Crew,
    CrewAway,
    CrewMember,
    Fault,
    FaultStation,
    FollowUp,
    FollowUpKind,
    Job,
    JobLine,
    JobPhoto,
    JobState,
    SafetyAnswer,
)
from faults.prices.queries import currency_of
from sites.kernel.engines.roles import Action, Role
from sites.models import Device, Property, Station, Stopgap, User

MOST_LINES = 400
MOST_OPEN_SHOWN = 40
MOST_DEVICES_OFFERED = 200
CREW_DAYS_SHOWN = 14


def jobs_listed(user: User) -> QuerySet[Job]:
    """Return the jobs that the user may see, with all that a list shows."""
    return jobs_for(user).select_related("property", "crew", "fault")


def job_to_show(user: User, action: Action = Action.SEE_WORK) -> QuerySet[Job]:
    """Return the jobs on which the user has the action, each with what its page names."""
    rows = jobs_for(user, action)
    return rows.select_related(
        "property__client", "crew", "fault", "split_from__property", "priority_by"
    )


def open_jobs_of_fault(user: User, fault: Fault) -> list[Job]:
    """Return the open jobs of a fault, the next one first."""
    return _open(jobs_for(user).filter(fault=fault))


def open_jobs_of_property(user: User, place: Property) -> list[Job]:
    """Return the open jobs of a property, the next one first."""
    return _open(jobs_for(user).filter(property=place))


def _open(rows: QuerySet[Job]) -> list[Job]:
    still = rows.filter(state__in=[JobState.PLANNED, JobState.STARTED])
    found = still.select_related("crew", "property", "fault")
    return list(found.order_by(F("day").asc(nulls_last=True), "starts_at", "pk")[:MOST_OPEN_SHOWN])


def stations_of_job(job: Job) -> list[Station]:
    """Return the stations that a job names, by controller and number."""
    rows = job.stations.select_related("controller")
    return list(rows.order_by("controller__name", "number", "pk")[:400])


def open_stations_of(fault: Fault) -> list[FaultStation]:
    """Return the stations of a fault that are not closed."""
    rows = fault.stations.exclude(stage__in=[stage.value for stage in CLOSED])
    return list(
        rows.select_related("station__controller").order_by(
            "station__controller__name", "station__number", "pk"
        )
    )


def devices_offered(place: Property) -> list[Device]:
    """Return the battery timers in the ground of a property, each with `in_ground`: its stations'
    stopgaps."""
    standing = Stopgap.objects.open().select_related("station__controller")
    ordered = standing.order_by("station__controller__name", "station__number", "pk")
    rows = place.devices.filter(stopgaps__removed_on__isnull=True, stopgaps__isnull=False)
    rows = rows.prefetch_related(Prefetch("stopgaps", ordered, to_attr="in_ground"))
    return list(rows.distinct().order_by("name", "pk")[:MOST_DEVICES_OFFERED])


def devices_due(place: Property, *, today: date) -> set[int]:
    """Return the battery timers there whose batteries are due for a change."""
    rows = FollowUp.objects.due(today=today).filter(property=place, kind=FollowUpKind.BATTERY)
    return set(rows.filter(device__isnull=False).values_list("device_id", flat=True))


# Of each line on its day, in the query itself.
_CURRENCY = currency_of("job__property", "on")
_ENTRY = BatchLine.objects.filter(line=OuterRef("pk"), is_taken_back=False)
# The batch that has a line, if one does, and the day on which it was given to the books.
_GIVEN = {
    "batch_ref": Subquery(_ENTRY.values("batch__ref")[:1]),
    "given_on": Subquery(_ENTRY.values("batch__given_on")[:1]),
}


def lines_of(job: Job) -> list[JobLine]:
    """Return the lines of a job, struck ones too, in order of their days."""
    rows = job.lines.select_related("entered_by").annotate(currency=_CURRENCY, **_GIVEN)
    return list(rows.order_by("on", "pk")[:MOST_LINES])


def lines_listed(user: User) -> QuerySet[JobLine]:
    """Return the standing lines whose prices the user may see, with what a list shows."""
    rows = job_lines_for(user, Action.SEE_RATES).standing()
    return rows.select_related("job__property__client").annotate(currency=_CURRENCY, **_GIVEN)


def photos_of_job(job: Job) -> list[JobPhoto]:
    """Return the photos of a job, hidden ones too, newest first."""
    return list(job.photos.select_related("added_by").order_by("-added_at", "-pk")[:120])


def answers_of_job(job: Job) -> list[SafetyAnswer]:
    """Return what was answered before the hole was dug."""
    return list(job.safety.select_related("by").order_by("pk"))


def crews_listed(user: User, *, on: date) -> list[Crew]:
    """Return the crews that the user may see, retired ones last, with their best skill that day."""
    best = (
        CrewMember.objects.on(on)
        .filter(crew=OuterRef("pk"))
        .order_by()
        .values("crew")
        .annotate(best=Max("skill"))
        .values("best")
    )
    rows = crews_for(user).annotate(best_skill=Subquery(best, output_field=IntegerField()))
    return list(rows.order_by(F("retired_on").asc(nulls_first=True), "name", "pk"))


def crews_to_send(*, on: date, besides: Crew | None = None) -> list[Crew]:
    """Return the crews that can be chosen, with their best skill on a day; `besides` too."""
    best = CrewMember.objects.on(on).filter(crew=OuterRef("pk")).order_by("-skill", "pk")
    usable = Q(retired_on__isnull=True) | Q(retired_on__gt=on)
    if besides is not None:
        usable |= Q(pk=besides.pk)
    rows = Crew.objects.filter(usable).annotate(best_skill=Subquery(best.values("skill")[:1]))
    return list(rows.order_by("name", "pk"))


def job_of_key(key: int) -> Job | None:
    """Return the job of this key, for one whose planning is taken back."""
    return Job.objects.filter(pk=key).select_related("property").first()


def has_open_job(fault: Fault) -> bool:
    """Return whether a visit for this fault is planned or under way."""
    return Job.objects.filter(fault=fault, state__in=OPEN_JOB_STATES).exists()


def crew_of_key(key: int | None) -> Crew | None:
    """Return the crew of this key, for a job that goes back to where it was."""
    return Crew.objects.filter(pk=key).first() if key else None


def members_of(crews: list[Crew]) -> dict[int, list[CrewMember]]:
    """Return everybody who is or was in these crews, the latest first; one query."""
    rows = CrewMember.objects.filter(crew__in=crews).select_related("user")
    found: dict[int, list[CrewMember]] = {crew.pk: [] for crew in crews}
    for member in rows.order_by(F("to_on").desc(nulls_first=True), "-from_on", "pk"):
        found[member.crew_id].append(member)
    return found


def away_of(crew: Crew) -> list[CrewAway]:
    """Return the days away of a crew, the latest first; those taken back are left out."""
    rows = crew.away.exclude(from_on=F("to_on"))
    return list(rows.order_by("-from_on", "-pk")[:50])


def coming_jobs_of(user: User, crew: Crew, *, today: date) -> list[Job]:
    """Return what the crew has to do within two weeks, and what it left open before."""
    rows = jobs_for(user).open().filter(crew=crew, day__lt=today + timedelta(days=CREW_DAYS_SHOWN))
    return list(rows.select_related("property", "fault").order_by("day", "starts_at", "pk")[:60])


def people_for_crews() -> QuerySet[User]:
    """Return who can go with a crew: our own people in use, and tracers."""
    roles = [role.value for role in Role if role is not Role.CLIENT]
    found = User.objects.filter(is_active=True, grants__role__in=roles).values("pk")
    return User.objects.filter(pk__in=found).order_by("username", "pk")


def members_for(user: User, action: Action) -> QuerySet[CrewMember]:
    """Return the members of crews on which the user has the action."""
    return CrewMember.objects.filter(crew__in=crews_for(user, action)).select_related(
        "crew", "user"
    )


def away_for(user: User, action: Action) -> QuerySet[CrewAway]:
    """Return the days away of crews on which the user has the action."""
    return CrewAway.objects.filter(crew__in=crews_for(user, action)).select_related("crew")

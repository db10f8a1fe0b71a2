"""Who sees which faults. A subcontracted tracer sees only those assigned to it."""

from collections.abc import Collection

from django.db.models import Q, QuerySet

from faults.models import (
    Asked,
    Assignment,
    Break,
    Crew,
    Fault,
    FaultPhoto,
    FollowUp,
    Job,
    JobLine,
    JobPhoto,
    Notice,
    Promise,
    Quote,
    Reading,
    Round,
    RoundStop,
    RoundVisit,
    Search,
    SearchReading,
)
from faults.models.fault import FaultQuerySet
from faults.models.followup import FollowUpQuerySet
from faults.models.job import JobLineQuerySet, JobQuerySet
from faults.models.rounds import RoundQuerySet
from faults.models.search import SearchQuerySet
from sites.kernel.access import may_everywhere, properties_where
from sites.kernel.engines.roles import Action, Role, allows, roles_with
from sites.models import Property, Run, Upload, User

TRACER = frozenset({Role.TRACER})
TRACING_ROLES = frozenset({Role.TRACER, Role.TECHNICIAN})


def visible_faults(user: User, action: Action = Action.SEE_FAULTS) -> Q:
    """Return the condition that keeps the faults on which the user has the action."""
    ours = properties_where(user, action, "property", roles=frozenset(Role) - TRACER)
    theirs = properties_where(user, action, "property", roles=TRACER)
    assigned = Q(pk__in=Assignment.objects.filter(user=user, to_on=None).values("fault"))
    return ours | (theirs & assigned) if ours else ours


def faults_for(user: User, action: Action = Action.SEE_FAULTS) -> FaultQuerySet:
    """Return the faults on which the user has the action."""
    return Fault.objects.filter(visible_faults(user, action))


def may_see_crew_costs(user: User) -> bool:
    """Return whether the user may see what an hour of a crew costs: who sets crews up may."""
    return may_everywhere(user, Action.SET_UP_WORK)


def promises_for(user: User, action: Action = Action.SEE_WORK) -> QuerySet[Promise]:
    """Return the promises of faults on which the user has the action."""
    return Promise.objects.filter(fault__in=faults_for(user, action))


def breaks_for(user: User, action: Action = Action.SEE_FAULTS) -> QuerySet[Break]:
    """Return the breaks of faults on which the user has the action."""
    return Break.objects.filter(fault__in=faults_for(user, action))


def fault_photos_for(user: User, action: Action = Action.SEE_PHOTOS) -> QuerySet[FaultPhoto]:
    """Return the photos of faults that the user may see; hidden ones for who may add photos."""
    shown = Q(fault__in=faults_for(user, action), hidden_on__isnull=True)
    return FaultPhoto.objects.filter(shown | Q(fault__in=faults_for(user, Action.ADD_PHOTOS)))


def jobs_for(user: User, action: Action = Action.SEE_WORK) -> JobQuerySet:
    """Return the jobs on which the user has the action; a tracer's are of its own faults."""
    return Job.objects.filter(_work_where(user, action))


def notices_for(user: User, action: Action = Action.SEE_WORK) -> QuerySet[Notice]:
    """Return the notices on which the user has the action; a tracer's are of its own faults."""
    return Notice.objects.filter(_work_where(user, action))


def asked_for(user: User, action: Action = Action.ASK_CLIENT) -> QuerySet[Asked]:
    """Return the questions to clients about faults on which the user has the action."""
    return Asked.objects.filter(fault__in=faults_for(user, action))


def quotes_for(user: User, action: Action = Action.SEE_RATES) -> QuerySet[Quote]:
    """Return the quotes of faults on which the user has the action."""
    return Quote.objects.filter(fault__in=faults_for(user, action))


def _work_where(user: User, action: Action) -> Q:
    """The condition on rows that belong to a property and, mostly, to a fault."""
    ours = properties_where(user, action, "property", roles=frozenset(Role) - TRACER)
    theirs = properties_where(user, action, "property", roles=TRACER)
    assigned = Assignment.objects.filter(user=user, to_on=None).values("fault")
    return ours | (theirs & Q(fault__in=assigned)) if ours else ours


def follow_ups_for(user: User, action: Action = Action.SEE_WORK) -> FollowUpQuerySet:
    """Return the follow-ups on which the user has the action; a tracer's are of its own faults."""
    return FollowUp.objects.filter(_work_where(user, action))


def rounds_for(user: User, action: Action = Action.SEE_ROUNDS) -> RoundQuerySet:
    """Return the rounds that go to a property where the user has the action.

    To change one, the user needs the action at all of its properties.
    """
    here = stops_for(user, action).values("round")
    rows = Round.objects.filter(pk__in=here)
    if action is Action.SEE_ROUNDS:
        return rows
    outside = RoundStop.objects.exclude(pk__in=stops_for(user, action).values("pk"))
    return rows.exclude(pk__in=outside.values("round"))


def stops_for(user: User, action: Action = Action.SEE_ROUNDS) -> QuerySet[RoundStop]:
    """Return the properties of rounds on which the user has the action."""
    return RoundStop.objects.filter(properties_where(user, action, "property"))


def round_visits_for(user: User, action: Action = Action.SEE_ROUNDS) -> QuerySet[RoundVisit]:
    """Return the visits of rounds to properties on which the user has the action."""
    return RoundVisit.objects.filter(properties_where(user, action, "property"))


def handlers_on(place: Property) -> QuerySet[User]:
    """Return the people to whom something due at this property can be assigned."""
    return handlers_on_any([place])


def handlers_on_any(places: Collection[Property]) -> QuerySet[User]:
    """Return the people who may do what is due at one of these properties, or more."""
    return _people_on(places, roles_with(Action.HANDLE_FOLLOW_UPS))


def roles_on(user: User, place: Property) -> set[Role]:
    """Return the roles that the user has on this property."""
    return {
        Role(grant.role)
        for grant in user.held_grants
        if {grant.client_id, grant.property_id} == {None}
        or grant.client_id == place.client_id
        or grant.property_id == place.pk
    }


def tracers_on(*places: Property) -> QuerySet[User]:
    """Return the people to whom a fault of this property, or of one of these, may be assigned."""
    return _people_on(places, TRACING_ROLES)


def _people_on(places: Collection[Property], among: frozenset[Role]) -> QuerySet[User]:
    roles = [role.value for role in among]
    clients, keys = {each.client_id for each in places}, {each.pk for each in places}
    grants = Q(grants__client__in=clients) | Q(grants__property__in=keys)
    everywhere = Q(grants__client__isnull=True, grants__property__isnull=True)
    return User.objects.filter(
        grants | everywhere, is_active=True, grants__role__in=roles
    ).distinct()


def uploads_for(user: User) -> QuerySet[Upload]:
    """Return the user's own uploads; an owner, who may manage people, sees everybody's."""
    if may_everywhere(user, Action.MANAGE_PEOPLE):
        return Upload.objects.all()
    return Upload.objects.filter(by=user)


def runs_for(user: User, service: str) -> QuerySet[Run]:
    """Return the runs of one kind of background work that the user set off."""
    return Run.objects.filter(service=service, asked_by=user)


def readings_for(user: User, action: Action) -> QuerySet[Reading]:
    """Return the readings of stations on whose property the user has the action."""
    return Reading.objects.filter(
        properties_where(user, action, "station__controller__property")
    ).select_related("station__controller__property")


def searches_for(user: User, action: Action = Action.SEE_WORK) -> SearchQuerySet:
    """Return the searches of faults on which the user has the action."""
    return Search.objects.filter(fault__in=faults_for(user, action))


def search_readings_for(user: User, action: Action) -> QuerySet[SearchReading]:
    """Return the tests of searches of faults on which the user has the action."""
    return SearchReading.objects.filter(search__in=searches_for(user, action)).select_related(
        "search__fault__property", "search__station__controller__property"
    )


def crews_for(user: User, action: Action = Action.SEE_WORK) -> QuerySet[Crew]:
    """Return the crews that the user may see; a tracer sees those that it goes with.

    A crew serves every client, so only those may change one whose role holds everywhere.
    """
    if action is not Action.SEE_WORK:
        return Crew.objects.all() if may_everywhere(user, action) else Crew.objects.none()
    ours = {Role(grant.role) for grant in user.held_grants if allows(Role(grant.role), action)}
    if ours - TRACER:
        return Crew.objects.all()
    if not ours:
        return Crew.objects.none()
    with_it = Q(members__user=user) | Q(jobs__in=jobs_for(user))
    return Crew.objects.filter(pk__in=Crew.objects.filter(with_it).values("pk"))


def job_lines_for(user: User, action: Action) -> JobLineQuerySet:
    """Return the lines of jobs on which the user has the action."""
    return JobLine.objects.filter(job__in=jobs_for(user, action))


def job_photos_for(user: User, action: Action = Action.SEE_WORK) -> QuerySet[JobPhoto]:
    """Return the photos of jobs that the user may see; hidden ones for who works on jobs."""
    shown = Q(job__in=jobs_for(user, action), hidden_on__isnull=True)
    return JobPhoto.objects.filter(shown | Q(job__in=jobs_for(user, Action.WORK_JOBS)))

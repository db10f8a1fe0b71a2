"""Who sees which faults. A subcontracted tracer sees only those assigned to it."""

from django.db.models import Q, QuerySet

from faults.models import Assignment, Fault
from faults.models.fault import FaultQuerySet
from sites.access import may_everywhere, properties_where
from sites.engines.roles import Action, Role
from sites.models import Upload, User

TRACER = frozenset({Role.TRACER})


def visible_faults(user: User, action: Action = Action.SEE_FAULTS) -> Q:
    """Return the condition that keeps the faults on which the user has the action."""
    ours = properties_where(user, action, "property", roles=frozenset(Role) - TRACER)
    theirs = properties_where(user, action, "property", roles=TRACER)
    assigned = Q(pk__in=Assignment.objects.filter(user=user, to_on=None).values("fault"))
    return ours | (theirs & assigned) if ours else ours


def faults_for(user: User, action: Action = Action.SEE_FAULTS) -> FaultQuerySet:
    """Return the faults on which the user has the action."""
    return Fault.objects.filter(visible_faults(user, action))


def uploads_for(user: User) -> QuerySet[Upload]:
    """Return the user's own uploads; an owner, who may manage people, sees everybody's."""
    if may_everywhere(user, Action.MANAGE_PEOPLE):
        return Upload.objects.all()
    return Upload.objects.filter(by=user)

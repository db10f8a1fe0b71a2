"""Who sees which faults."""

from django.db.models import QuerySet

from faults.models import Fault
from sites.access import properties_where
from sites.engines.roles import Action
from sites.models import User


def faults_for(user: User) -> QuerySet[Fault]:
    """Return the faults on properties where the user may see faults."""
    return Fault.objects.filter(properties_where(user, Action.SEE_FAULTS, "property"))

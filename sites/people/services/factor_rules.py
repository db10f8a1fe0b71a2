"""Which roles ask for a second factor: set by an owner of everything."""

from collections.abc import Collection

from django.utils.translation import gettext as _

from sites.kernel.access import may_everywhere
from sites.kernel.engines.roles import Action, Role
from sites.kernel.services.audit import note
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Event, Grant, RoleWithSecondFactor, SecondFactor, User


class UnableToSetRule(UnableToAct):
    """A rule that this user may not set."""


def roles_asking() -> list[str]:
    """Return the roles that ask for a second factor, in the order of their declaration."""
    held = set(RoleWithSecondFactor.objects.values_list("role", flat=True))
    return [role.value for role in Role if role.value in held]


def people_without(roles: Collection[str]) -> int:
    """Return how many active people of these roles have no second factor yet."""
    with_one = SecondFactor.objects.values("user")
    rows = Grant.objects.filter(role__in=roles, user__is_active=True).exclude(user__in=with_one)
    return rows.values("user").distinct().count()


@verb(
    name="say which roles need a second factor",
    action=Action.MANAGE_PEOPLE,
    guard="the user manages people everywhere",
    undo="say it again",
)
def set_roles_asking(*, by: User, roles: Collection[str]) -> None:
    """Ask for a second factor from these roles and from no other."""
    if not may_everywhere(by, Action.MANAGE_PEOPLE):
        raise UnableToSetRule(_("Only who manages people everywhere sets this."))
    before = roles_asking()
    wanted = [role.value for role in Role if role.value in roles]
    if wanted == before:
        return
    RoleWithSecondFactor.objects.exclude(role__in=wanted).delete()
    for role in wanted:
        RoleWithSecondFactor.objects.get_or_create(role=role)
    note(
        Event.FACTOR_RULE, by=by, detail=f"{', '.join(before) or '–'} → {', '.join(wanted) or '–'}"
    )

"""Which people a user may manage, and whom the installation cannot do without."""

from django.db.models import Q, QuerySet

from sites.kernel.access import may_everywhere, properties_for
from sites.kernel.engines.roles import Action, Role, roles_with
from sites.models import AuditLine, Client, Grant, Property, User


def people_for(user: User) -> QuerySet[User]:
    """Return the people whom the user may manage.

    Who holds a role everywhere manages everybody; who holds it on some properties manages those
    who see nothing else.
    """
    people = User.objects.all()
    if may_everywhere(user, Action.MANAGE_PEOPLE):
        return people
    held = Grant.objects.filter(user__in=people)
    inside = held.filter(
        Q(client__in=clients_for(user)) | Q(property__in=properties_for(user, Action.MANAGE_PEOPLE))
    )
    outside = held.exclude(pk__in=inside.values("pk"))
    return people.filter(pk__in=inside.values("user"), is_superuser=False).exclude(
        pk__in=outside.values("user")
    )


def log_for(user: User) -> QuerySet[AuditLine]:
    """Return the lines of the log: all for who manages people everywhere, else none."""
    rows = AuditLine.objects.all()
    return rows if may_everywhere(user, Action.MANAGE_PEOPLE) else rows.none()


def half_in_user(pk: int) -> User | None:
    """Return who gave the right password and still has access."""
    return User.objects.filter(pk=pk, is_active=True).first()


def roles_held_for(user: User) -> QuerySet[Grant]:
    """Return the roles of the people whom the user may manage."""
    return Grant.objects.filter(user__in=people_for(user)).select_related("user")


def clients_for(user: User) -> QuerySet[Client]:
    """Return the clients on all of whose properties, now and later, the user manages people."""
    if may_everywhere(user, Action.MANAGE_PEOPLE):
        return Client.objects.all()
    return Client.objects.filter(pk__in=_managing(user).values("client"))


def may_give(user: User, *, client: Client | None, place: Property | None) -> bool:
    """Return whether the user manages people on all of this, so that no more is given than held."""
    if client is None and place is None:
        return may_everywhere(user, Action.MANAGE_PEOPLE)
    if place is not None:
        return properties_for(user, Action.MANAGE_PEOPLE).filter(pk=place.pk).exists()
    assert client is not None
    return clients_for(user).filter(pk=client.pk).exists()


def other_owners(user: User) -> list[User]:
    """Return the others who own everything and can sign in; an invited owner has not yet."""
    others = User.objects.filter(pk__in=owners_of_everything().values("user"), is_active=True)
    found = others.exclude(pk=user.pk).order_by("pk")
    return [each for each in found if each.has_usable_password() or each.last_login]


def owners_of_everything() -> QuerySet[Grant]:
    """Return the grants that make owners of everything."""
    return Grant.objects.filter(role=Role.OWNER.value, client=None, property=None)


def _managing(user: User) -> QuerySet[Grant]:
    managing = [role.value for role in roles_with(Action.MANAGE_PEOPLE)]
    return Grant.objects.filter(user=user, role__in=managing)

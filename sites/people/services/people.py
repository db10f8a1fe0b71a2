"""Verbs about people: create a user, with a role and its limits."""

from django.db import transaction

from sites.kernel.engines.roles import Role
from sites.models import Client, Grant, Property, User


class UnableToAddPerson(Exception):
    """The person cannot be added; the message says why and what to do."""


@transaction.atomic
def add_person(
    *, username: str, email: str, password: str, role: Role, client_name: str, property_code: str
) -> User:
    """Add a user who signs in with this password and holds one grant.

    An owner of everything may also open the pages under /admin/, where people and grants are kept.

    Raises:
        UnableToAddPerson: the name is taken, the limit is not registered, or an outsider has none.
    """
    if User.objects.filter(username__iexact=username).exists():
        raise UnableToAddPerson(f"{username} is there already. Choose another name.")
    client = _find_client(client_name)
    place = _find_property(property_code)
    if role in (Role.CLIENT, Role.TRACER) and client is None and place is None:
        raise UnableToAddPerson(
            f"A {role} sees one client or one property only. Name it with --client or --property."
        )
    user = User.objects.create_user(username, email, password)
    # A limit holds everywhere: a limited owner gets no pages that know no limits.
    user.is_staff = user.is_superuser = role is Role.OWNER and not (client or place)
    user.save()
    Grant.objects.create(user=user, role=role.value, client=client, property=place)
    return user


def _find_client(name: str) -> Client | None:
    if not name:
        return None
    client = Client.objects.filter(name__iexact=name).first()
    if client is None:
        raise UnableToAddPerson(f"No client is called {name}. Load the register first.")
    return client


def _find_property(code: str) -> Property | None:
    if not code:
        return None
    place = Property.objects.filter(code__iexact=code).first()
    if place is None:
        raise UnableToAddPerson(f"No property is called {code}. Load the register first.")
    return place

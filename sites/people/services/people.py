"""Verbs about people: invite, give and take roles, end the access. Nobody changes oneself."""

from dataclasses import dataclass

from django.db import connection, transaction
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action, Role
from sites.kernel.services.audit import note
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Client, Event, Grant, Property, User
from sites.people.queries import may_give, other_owners, owners_of_everything, people_for
from sites.people.services.invitations import send_invitation
from sites.people.services.sign_ins import end_sign_ins

LIMITED_ROLES = frozenset({Role.CLIENT, Role.TRACER})


class UnableToAddPerson(Exception):
    """The person cannot be added; the message says why and what to do."""


class UnableToChangePeople(UnableToAct):
    """A role or an access that this user may not give, take or end."""


@dataclass(frozen=True)
class RoleFacts:
    """A role and where it holds: everywhere, on one client's properties, or on one property."""

    role: Role
    client: Client | None = None
    place: Property | None = None


@dataclass(frozen=True)
class PersonFacts:
    """Who is invited; people sign in with their address."""

    email: str
    first_name: str
    last_name: str
    language: str


@verb(
    name="invite a person",
    action=Action.MANAGE_PEOPLE,
    guard="the address is not known yet; no role is given that the user does not manage; a client "
    "or tracer has a limit; the mail is taken",
    undo="end the access of a person",
)
def invite_person(*, by: User, person: PersonFacts, role: RoleFacts) -> User:
    """Add a person without a password, with one role, and send the link to set one."""
    taken = User.objects.filter(username__iexact=person.email)
    if taken.exists() or User.objects.filter(email__iexact=person.email).exists():
        raise UnableToChangePeople(
            _("Somebody has this address already. Look for them among the people."), field="email"
        )
    user = User.objects.create_user(
        person.email,
        person.email,
        first_name=person.first_name,
        last_name=person.last_name,
        language=person.language,
        time_zone=by.time_zone,
    )
    note(Event.INVITED, by=by, about=user, detail=person.email)
    _give(by, user, role)
    _send(user, by=by)
    return user


@verb(
    name="invite a person again",
    action=Action.MANAGE_PEOPLE,
    guard="the person never signed in and has an address; the access has not ended",
    undo="nothing to take back: the newest link is the only one that holds",
)
def invite_again(*, by: User, user: User) -> None:
    """Send a new link; the old one holds no longer."""
    _refuse_oneself_and_strangers(by, user)
    if user.has_usable_password() or user.last_login:
        raise UnableToChangePeople(
            _("They have a password. They can ask for a new one on the page of signing in.")
        )
    if not user.is_active or not user.email:
        raise UnableToChangePeople(_("Let them in again and enter an address first."))
    # A new mark of "no password" is another state, so that the link sent before is useless.
    user.set_unusable_password()
    user.save()
    note(Event.INVITED, by=by, about=user, detail=user.email)
    _send(user, by=by)


@verb(
    name="give a role",
    action=Action.MANAGE_PEOPLE,
    guard="not to oneself; no more than the user manages; a client or tracer has a limit; the "
    "person does not have it yet",
    undo="take a role away",
)
def give_role(*, by: User, user: User, role: RoleFacts) -> Grant:
    """Give one more role."""
    _refuse_oneself_and_strangers(by, user)
    return _give(by, user, role)


@verb(
    name="take a role away",
    action=Action.MANAGE_PEOPLE,
    guard="not from oneself; not from the last owner of everything",
    undo="give a role",
)
def take_role(*, by: User, grant: Grant) -> None:
    """Take one role away; its history stays."""
    user = grant.user
    _refuse_oneself_and_strangers(by, user)
    if _is_of_everything(grant):
        _refuse_last_owner(user)
    note(Event.ROLE_TAKEN, by=by, about=user, detail=_where(grant))
    grant.delete()
    _sync_admin(user)


@verb(
    name="end the access of a person",
    action=Action.MANAGE_PEOPLE,
    guard="not one's own; not of the last owner of everything; it has not ended",
    undo="let a person in again",
)
def end_access(*, by: User, user: User) -> None:
    """Let the person sign in no more: open windows close too. What they did keeps their name."""
    _refuse_oneself_and_strangers(by, user)
    if not user.is_active:
        raise UnableToChangePeople(_("Their access has ended already."))
    if any(_is_of_everything(grant) for grant in user.grants.all()):
        _refuse_last_owner(user)
    user.is_active = False
    user.save()
    note(Event.ACCESS_ENDED, by=by, about=user)
    end_sign_ins(user)


@verb(
    name="let a person in again",
    action=Action.MANAGE_PEOPLE,
    guard="not oneself; the access has ended",
    undo="end the access of a person",
)
def let_in_again(*, by: User, user: User) -> None:
    """Give the access back, with the roles that the person had."""
    _refuse_oneself_and_strangers(by, user)
    if user.is_active:
        raise UnableToChangePeople(_("Their access has not ended."))
    user.is_active = True
    user.save()
    note(Event.ACCESS_BACK, by=by, about=user)


@transaction.atomic
def add_person(
    *, username: str, email: str, password: str, role: Role, client_name: str, property_code: str
) -> User:
    """Add a user who signs in with this password and holds one grant, from the command line.

    Raises:
        UnableToAddPerson: the name is taken, the limit is not registered, or an outsider has none.
    """
    if User.objects.filter(username__iexact=username).exists():
        raise UnableToAddPerson(f"{username} is there already. Choose another name.")
    client = _find_client(client_name)
    place = _find_property(property_code)
    if role in LIMITED_ROLES and client is None and place is None:
        raise UnableToAddPerson(
            f"A {role} sees one client or one property only. Name it with --client or --property."
        )
    user = User.objects.create_user(username, email, password)
    Grant.objects.create(user=user, role=role.value, client=client, property=place)
    _sync_admin(user)
    return user


def _give(by: User, user: User, role: RoleFacts) -> Grant:
    if role.client is not None and role.place is not None:
        raise UnableToChangePeople(_("Choose a client or a property, not both."), field="place")
    if role.role in LIMITED_ROLES and role.client is None and role.place is None:
        raise UnableToChangePeople(
            _("A client or a tracer sees one client or one property only. Choose it."),
            field="client",
        )
    if not may_give(by, client=role.client, place=role.place):
        raise UnableToChangePeople(
            _("You manage people on some properties only: choose one of these as the limit."),
            field="client",
        )
    held = {"role": role.role.value, "client": role.client, "property": role.place}
    if user.grants.filter(**held).exists():
        raise UnableToChangePeople(_("They have this role there already."), field="given")
    grant = Grant.objects.create(user=user, **held)
    note(Event.ROLE_GIVEN, by=by, about=user, detail=_where(grant))
    _sync_admin(user)
    return grant


def _sync_admin(user: User) -> None:
    """Open /admin/ to an owner of everything, and to nobody else: it knows no limits."""
    is_owner = owners_of_everything().filter(user=user).exists()
    user.is_staff = user.is_superuser = is_owner
    user.save()


def _refuse_oneself_and_strangers(by: User, user: User) -> None:
    if by.pk == user.pk:
        raise UnableToChangePeople(
            _("Nobody changes their own roles or access. Ask another owner to do it.")
        )
    if not people_for(by).filter(pk=user.pk).exists():
        raise UnableToChangePeople(_("You do not manage this person."))


def _refuse_last_owner(user: User) -> None:
    """Two who end each other at the same moment wait for one another here."""
    grants = owners_of_everything().order_by("pk")
    if connection.features.has_select_for_update:
        grants = grants.select_for_update()
    list(grants)
    if not other_owners(user):
        raise UnableToChangePeople(
            _("They are the last owner who can sign in. Make another owner first.")
        )


def _where(grant: Grant) -> str:
    return f"{grant.role}: {grant.client or grant.property or 'every property'}"


def _is_of_everything(grant: Grant) -> bool:
    return grant.role == Role.OWNER.value and grant.client_id is None and grant.property_id is None


def _send(user: User, *, by: User) -> None:
    """A mail that is not taken undoes the whole verb: nobody waits for a link that never comes."""
    try:
        send_invitation(user, by=by)
    except OSError as error:
        raise UnableToChangePeople(
            _(
                "The mail was not taken, and nothing was kept (%s). Check the address; if it is "
                "right, ask who set this up to look at EMAIL_URL."
            )
            % error,
            field=None,
        ) from error


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

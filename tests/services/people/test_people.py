"""Nobody gets more than an owner gives, nobody changes oneself, and an owner stays."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core import mail

from sites.kernel.access import actions_anywhere
from sites.kernel.engines.roles import Action, Role
from sites.models import Grant, Property, User
from sites.people.queries import people_for
from sites.people.services import people
from sites.people.services.people import (
    PersonFacts,
    RoleFacts,
    UnableToChangePeople,
    end_access,
    give_role,
    invite_again,
    invite_person,
    let_in_again,
    take_role,
)
from sites.people.services.role_words import ACTION_WORDS, may_do, role_table
from tests import make

pytestmark = pytest.mark.django_db
QUINN = PersonFacts("quinn@example.org", "Quinn", "Quince", "en")
EVERYWHERE = RoleFacts(Role.TECHNICIAN)


@pytest.fixture
def owner(db: None) -> User:
    """An owner of everything, who can sign in."""
    return make.user(Role.OWNER, password="seven dry lawns")


@pytest.fixture
def alder(db: None) -> Property:
    """A property with a client; there are others."""
    make.place()
    return make.place(code="Alder")


@pytest.fixture
def limited(alder: Property) -> User:
    """An owner of Alder's client alone."""
    return make.user(Role.OWNER, client=alder.client, password="seven dry lawns")


def refused(verb: Callable[..., Any], **given: Any) -> str:
    """Return the words of the refusal."""
    with pytest.raises(UnableToChangePeople) as error:
        verb(**given)
    return str(error.value)


def grants_of(user: User) -> list[tuple[str, object, object]]:
    """Return what the user holds, as it is stored."""
    return list(user.grants.order_by("pk").values_list("role", "client", "property"))


def test_an_invited_person_has_the_role_and_no_password(owner: User, alder: Property) -> None:
    user = invite_person(by=owner, person=QUINN, role=RoleFacts(Role.CLIENT, alder.client))
    assert grants_of(user) == [("client", alder.client_id, None)]
    assert (user.username, user.is_staff, user.has_usable_password()) == (QUINN.email, False, False)
    assert mail.outbox[0].to == [QUINN.email]


def test_an_address_is_invited_once(owner: User) -> None:
    make.user(email="QUINN@example.org")
    assert "already" in refused(invite_person, by=owner, person=QUINN, role=EVERYWHERE)
    assert mail.outbox == []


def test_a_mail_that_is_not_taken_keeps_nothing(
    owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(user: User, *, by: User) -> None:
        raise ConnectionRefusedError("no")

    monkeypatch.setattr(people, "send_invitation", broken)
    words = refused(invite_person, by=owner, person=QUINN, role=EVERYWHERE)
    assert "EMAIL_URL" in words
    assert not User.objects.filter(email=QUINN.email).exists()


@pytest.mark.parametrize("role", [each for each in Role if each is not Role.OWNER])
def test_who_is_no_owner_makes_nobody_anything(role: Role, alder: Property) -> None:
    limit = {"client": alder.client} if role in (Role.CLIENT, Role.TRACER) else {}
    user, other = make.user(role, **limit), make.user(Role.TECHNICIAN)
    assert list(people_for(user)) == []
    refused(invite_person, by=user, person=QUINN, role=RoleFacts(Role.OWNER))
    refused(invite_person, by=user, person=QUINN, role=RoleFacts(Role.CLIENT, alder.client))
    refused(give_role, by=user, user=other, role=RoleFacts(Role.OWNER))
    refused(give_role, by=user, user=user, role=RoleFacts(Role.OWNER))
    refused(take_role, by=user, grant=other.grants.get())
    refused(end_access, by=user, user=other)
    assert grants_of(other) == [("technician", None, None)]
    assert not User.objects.filter(email=QUINN.email).exists()


def test_nobody_changes_oneself(owner: User) -> None:
    make.user(Role.OWNER, password="eleven wet hedges")
    for verb, given in (
        (give_role, {"user": owner, "role": RoleFacts(Role.DISPATCHER)}),
        (take_role, {"grant": owner.grants.get()}),
        (end_access, {"user": owner}),
        (let_in_again, {"user": owner}),
        (invite_again, {"user": owner}),
    ):
        assert "Nobody changes their own" in refused(verb, by=owner, **given)
    assert grants_of(owner) == [("owner", None, None)]


def test_the_last_owner_cannot_be_ended(owner: User) -> None:
    other = make.user(Role.OWNER, password="eleven wet hedges")
    by = make.user(Role.OWNER)
    end_access(by=by, user=other)
    # `by` was invited and has never been in: nobody could sign in after that.
    assert "last owner" in refused(end_access, by=by, user=owner)
    assert "last owner" in refused(take_role, by=by, grant=owner.grants.get())
    let_in_again(by=by, user=other)
    take_role(by=by, grant=owner.grants.get())
    assert grants_of(owner) == []


def test_an_owner_of_a_part_may_be_ended(owner: User, limited: User) -> None:
    end_access(by=owner, user=limited)
    limited.refresh_from_db()
    assert not limited.is_active


def test_a_limited_owner_gives_no_more_than_held(limited: User, alder: Property) -> None:
    elsewhere = make.place()
    for role in (
        RoleFacts(Role.OWNER),
        RoleFacts(Role.TECHNICIAN),
        RoleFacts(Role.OWNER, elsewhere.client),
        RoleFacts(Role.TECHNICIAN, None, elsewhere),
    ):
        refused(invite_person, by=limited, person=QUINN, role=role)
    user = invite_person(by=limited, person=QUINN, role=RoleFacts(Role.OWNER, alder.client))
    give_role(by=limited, user=user, role=RoleFacts(Role.TECHNICIAN, None, alder))
    assert len(grants_of(user)) == 2
    assert not user.is_superuser


def test_a_limited_owner_manages_those_who_see_nothing_else(
    owner: User, limited: User, alder: Property
) -> None:
    inside = make.user(Role.TECHNICIAN, property=alder)
    both = make.user(Role.TECHNICIAN, property=alder)
    Grant.objects.create(user=both, role="client", client=make.client())
    roleless = make.user()
    assert set(people_for(limited)) == {inside, limited}
    assert set(people_for(owner)) == {owner, limited, inside, both, roleless}
    for stranger in (owner, both, roleless):
        assert "do not manage" in refused(end_access, by=limited, user=stranger)
    end_access(by=limited, user=inside)


def test_an_owner_of_one_property_gives_that_property_alone(alder: Property) -> None:
    keeper = make.user(Role.OWNER, property=alder)
    refused(invite_person, by=keeper, person=QUINN, role=RoleFacts(Role.CLIENT, alder.client))
    user = invite_person(by=keeper, person=QUINN, role=RoleFacts(Role.CLIENT, None, alder))
    assert grants_of(user) == [("client", None, alder.pk)]


def test_only_owners_of_everything_open_the_admin(owner: User, alder: Property) -> None:
    user = invite_person(by=owner, person=QUINN, role=RoleFacts(Role.OWNER, alder.client))
    assert not user.is_superuser
    grant = give_role(by=owner, user=user, role=RoleFacts(Role.OWNER))
    user.refresh_from_db()
    assert user.is_staff
    assert user.is_superuser
    take_role(by=owner, grant=grant)
    user.refresh_from_db()
    assert not user.is_staff
    assert not user.is_superuser


def test_an_outsider_has_a_limit_and_one_only(owner: User, alder: Property) -> None:
    for role in (Role.CLIENT, Role.TRACER):
        refused(invite_person, by=owner, person=QUINN, role=RoleFacts(role))
    both = RoleFacts(Role.CLIENT, alder.client, alder)
    assert "not both" in refused(invite_person, by=owner, person=QUINN, role=both)


def test_the_same_role_is_given_once(owner: User, alder: Property) -> None:
    user = make.user(Role.TECHNICIAN)
    assert "already" in refused(give_role, by=owner, user=user, role=EVERYWHERE)
    give_role(by=owner, user=user, role=RoleFacts(Role.TECHNICIAN, alder.client))
    assert len(grants_of(user)) == 2


def test_ended_and_let_in_again_with_the_same_roles(owner: User) -> None:
    user = make.user(Role.DISPATCHER)
    end_access(by=owner, user=user)
    assert "ended already" in refused(end_access, by=owner, user=user)
    let_in_again(by=owner, user=user)
    assert "not ended" in refused(let_in_again, by=owner, user=user)
    assert grants_of(user) == [("dispatcher", None, None)]


def test_who_has_a_password_is_not_invited_again(owner: User) -> None:
    user = make.user(Role.DISPATCHER, password="eleven wet hedges", email="d@example.org")
    assert "have a password" in refused(invite_again, by=owner, user=user)


def test_what_roles_may_do_has_words_for_every_action() -> None:
    assert set(ACTION_WORDS) == set(Action)
    assert len(role_table()) == len(Action)
    assert "see contacts" in may_do(Role.TECHNICIAN)
    assert "see contacts" not in may_do(Role.CLIENT)
    for number, role in enumerate(Role):
        said = [line.words for line in role_table() if line.by_role[number]]
        assert said == may_do(role)


def test_a_role_that_is_given_opens_what_the_table_says(owner: User) -> None:
    user = invite_person(by=owner, person=QUINN, role=EVERYWHERE)
    assert {str(ACTION_WORDS[each]) for each in actions_anywhere(user)} == set(
        may_do(Role.TECHNICIAN)
    )

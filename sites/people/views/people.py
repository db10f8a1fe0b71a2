"""People: who may sign in, as what, where, and since when not any more."""

from typing import TypeVar

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.kernel.access import SignedInRequest, find, may_everywhere, page_for
from sites.kernel.engines.roles import Action, Role
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Grant, User
from sites.models.people import ROLE_CHOICES
from sites.people.forms import InviteForm, RoleForm
from sites.people.queries import people_for, roles_held_for
from sites.people.services.people import (
    end_access,
    give_role,
    invite_again,
    invite_person,
    let_in_again,
    take_role,
)
from sites.people.services.role_words import may_do, role_table
from sites.people.services.second_factor import factor_of, reset_factor
from sites.people.services.sign_ins import sign_out_person

Row = TypeVar("Row")


@page_for(Action.MANAGE_PEOPLE)
def people(request: SignedInRequest) -> HttpResponse:
    """All people with their roles, those whose access ended last."""
    rows = people_for(request.user).prefetch_related("grants__client", "grants__property")
    found = rows.order_by("-is_active", "first_name", "last_name", "username", "pk")
    is_everywhere = may_everywhere(request.user, Action.MANAGE_PEOPLE)
    context = {"people": found, "is_everywhere": is_everywhere}
    return render(request, "sites/people/people.html", context)


@page_for(Action.MANAGE_PEOPLE)
def person(request: SignedInRequest, pk: int) -> HttpResponse:
    """One person: roles with what each may do, and what can be changed."""
    one = find(people_for(request.user), pk=pk)
    grants = one.grants.select_related("client", "property").order_by("pk")
    context = {
        "person": one,
        "grants": [(grant, may_do(Role(grant.role))) for grant in grants],
        "is_oneself": one == request.user,
        "factor": factor_of(one),
        "is_invited": not one.has_usable_password() and one.last_login is None,
    }
    return render(request, "sites/people/person.html", context)


@page_for(Action.MANAGE_PEOPLE)
def roles(request: SignedInRequest) -> HttpResponse:
    """What each role may do, in words."""
    context = {"roles": [label for _value, label in ROLE_CHOICES], "lines": role_table()}
    return render(request, "sites/people/roles.html", context)


def person_url(one: User) -> str:
    """Return the address of a person's page."""
    return reverse("sites:person", args=[one.pk])


class PersonInvite(VerbView[None]):
    """Invite a person by mail."""

    asks_again = True

    verb = invite_person
    form_class = InviteForm
    heading, button = _("Invite a person"), _("Send the invitation")
    lead = _("They get a link by mail, set a password, and see only what you choose here.")

    def find(self) -> None:
        return None

    def get_form(self) -> InviteForm:
        return InviteForm(self.posted, giver=self.user)

    def get_back(self) -> str:
        return reverse("sites:people")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("People"))]

    def get_done(self) -> Text:
        return str(
            _("An invitation went to %s. The link holds for a week, once.") % self.result.email
        )

    def get_after(self) -> str:
        return person_url(self.result)


class OfPersonView(VerbView[Row]):
    """A verb on a person or on one of their roles; the page leads back to the person."""

    asks_again = True

    @property
    def person(self) -> User:
        """The person."""
        raise NotImplementedError

    def get_back(self) -> str:
        return person_url(self.person)

    def get_crumbs(self) -> Crumbs:
        return [(reverse("sites:people"), _("People")), (self.get_back(), str(self.person))]

    def get_named(self) -> object:
        return self.person


class PersonView(OfPersonView[User]):
    """A verb on a person."""

    takes = "user"

    @property
    def person(self) -> User:
        """The person itself."""
        return self.row

    def find(self) -> User:
        return find(people_for(self.user), pk=self.kwargs["pk"])

    def get_watched(self) -> list[Grant]:
        return list(self.row.grants.all())


class PersonInviteAgain(PersonView):
    """Send a new link."""

    verb = invite_again
    heading, button = _("Invite %s again"), _("Send a new link")
    lead = _("The link that was sent before holds no longer.")
    done = _("A new invitation is sent.")


class FactorReset(PersonView):
    """Reset the second factor of who lost phone and codes."""

    verb = reset_factor
    heading, button = _("Reset the second factor of %s"), _("Reset it")
    lead = _(
        "For who lost the phone and the recovery codes. They sign in with the password alone until "
        "they set up a new one. Make sure that it is really they who ask."
    )
    done = _("Reset. Their sign-ins have ended.")


class PersonSignOut(PersonView):
    """End all sign-ins of a person."""

    verb = sign_out_person
    heading, button = _("Sign %s out everywhere"), _("Sign them out")
    lead = _("Every device has to sign in again. What a phone has not sent yet stays on it.")
    done = _("Signed out everywhere.")


class RoleGive(PersonView):
    """Give one more role."""

    verb = give_role
    heading, button = _("Give %s a role"), _("Give it")
    done = _("The role is given.")
    form_class = RoleForm

    def get_form(self) -> RoleForm:
        return RoleForm(self.posted, giver=self.user)


class AccessEnd(PersonView):
    """End the access."""

    verb = end_access
    heading, button = _("End the access of %s"), _("End it")
    lead = _(
        "They can sign in no more, their open windows close, and mails and calendars stop. What "
        "they did keeps their name. You can let them in again."
    )
    done = _("The access has ended. They can be let in again.")


class AccessBack(PersonView):
    """Let them in again."""

    verb = let_in_again
    heading, button = _("Let %s in again"), _("Let them in")
    lead = _("They have the roles that they had.")
    done = _("They can sign in again.")


class RoleTake(OfPersonView[Grant]):
    """Take one role away."""

    verb = take_role
    takes = "grant"
    heading, button = _("Take this role from %s"), _("Take it away")
    done = _("The role is taken away. It can be given again.")

    @property
    def person(self) -> User:
        """Who has it."""
        return self.row.user

    def find(self) -> Grant:
        return find(roles_held_for(self.user), pk=self.kwargs["pk"])

    def get_lead(self) -> Text:
        limit = self.row.client or self.row.property
        role = self.row.get_role_display()
        return f"{role}: {limit}" if limit else str(role)

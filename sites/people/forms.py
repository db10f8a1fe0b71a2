"""What people set for themselves, and the sign-in."""

from typing import Any

import django_filters
from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from sites.kernel.access import may_everywhere, properties_for
from sites.kernel.engines.roles import Action, Role
from sites.kernel.forms.fields import time_zone_choices
from sites.models import AuditLine, Client, Event, Property, Scope, User
from sites.models.people import ROLE_CHOICES
from sites.people.queries import clients_for
from sites.people.services.people import PersonFacts, RoleFacts
from sites.people.services.tokens import TokenFacts

# As long as a name can be; SQLite refuses to look for a text of 50,000 bytes.
LONGEST_NAME = 150


class SignInForm(AuthenticationForm):
    """Name and password; what went wrong never tells whether the name exists."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": _(
            "This name and password do not go together. Check both; capital letters count. "
            "After six wrong tries the name is locked for 15 minutes."
        ),
    }


class AccountForm(forms.ModelForm):  # type: ignore[type-arg]
    """What people set for themselves."""

    time_zone = forms.ChoiceField(label=_("Time zone"), choices=time_zone_choices)

    class Meta:
        model = User
        fields = ["first_name", "last_name", "email", "time_zone", "language"]


class RoleForm(forms.Form):
    """A role and where it holds, from what the user who gives it manages."""

    given = forms.ChoiceField(label=_("Role"), choices=[("", ""), *ROLE_CHOICES])
    client = forms.ModelChoiceField(
        label=_("Only this client's properties"), queryset=Client.objects.none(), required=False
    )
    place = forms.ModelChoiceField(
        label=_("Only this property"), queryset=Property.objects.none(), required=False
    )

    def __init__(self, *args: Any, giver: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        client, place = self.fields["client"], self.fields["place"]
        assert isinstance(client, forms.ModelChoiceField)
        assert isinstance(place, forms.ModelChoiceField)
        client.queryset = clients_for(giver).order_by("name", "pk")
        places = properties_for(giver, Action.MANAGE_PEOPLE).in_care()
        place.queryset = places.order_by("code", "pk")
        everywhere = may_everywhere(giver, Action.MANAGE_PEOPLE)
        client.empty_label = place.empty_label = _("every property") if everywhere else ""

    def role(self) -> RoleFacts:
        """Return what was chosen."""
        data = self.cleaned_data
        return RoleFacts(Role(data["given"]), data["client"], data["place"])


class InviteForm(RoleForm):
    """Who is invited, and with which role."""

    email = forms.EmailField(
        label=_("E-mail"), max_length=150, help_text=_("They sign in with it.")
    )
    first_name = forms.CharField(label=_("First name"), max_length=150, required=False)
    last_name = forms.CharField(label=_("Last name"), max_length=150, required=False)
    language = forms.ChoiceField(
        label=_("Language"), choices=[("en", _("English")), ("es", _("Spanish"))]
    )

    field_order = ["email", "first_name", "last_name", "language", "given", "client", "place"]

    def person(self) -> PersonFacts:
        """Return who it is."""
        data = self.cleaned_data
        first, last = (" ".join(data[name].split()) for name in ("first_name", "last_name"))
        return PersonFacts(data["email"].casefold(), first, last, data["language"])


class LimitedForm(forms.Form):
    """Where something acts or listens for a user: everywhere, at a client's or one property."""

    client = forms.ModelChoiceField(
        label=_("Only this client's properties"), queryset=Client.objects.none(), required=False
    )
    place = forms.ModelChoiceField(
        label=_("Only this property"), queryset=Property.objects.none(), required=False
    )

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        client, place = self.fields["client"], self.fields["place"]
        assert isinstance(client, forms.ModelChoiceField)
        assert isinstance(place, forms.ModelChoiceField)
        places = properties_for(user).in_care()
        clients = Client.objects.filter(pk__in=places.values("client"))
        client.queryset = clients.order_by("name", "pk")
        place.queryset = places.order_by("code", "pk")
        client.empty_label = place.empty_label = _("all that you see")


class TokenForm(LimitedForm):
    """Which program gets a token, what it may do, where, and for how long."""

    name = forms.CharField(
        label=_("Which program?"),
        max_length=60,
        help_text=_("So that you know it again: such as “central's nightly list”."),
    )
    scopes = forms.MultipleChoiceField(
        label=_("What may it do?"),
        choices=Scope.choices,
        initial=[Scope.READ.value],
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Never more than you may yourself."),
    )
    days = forms.TypedChoiceField(
        label=_("It holds for"),
        choices=[(30, _("30 days")), (90, _("90 days")), (366, _("a year"))],
        initial=90,
        coerce=int,
    )
    field_order = ["name", "scopes", "client", "place", "days"]

    def token(self) -> TokenFacts:
        """Return what was chosen."""
        data = self.cleaned_data
        return TokenFacts(data["name"], data["scopes"], data["days"], data["client"], data["place"])


class CodeForm(forms.Form):
    """A code of the phone, or a recovery code."""

    code = forms.CharField(
        label=_("Code"),
        max_length=40,
        help_text=_("Six digits from your phone, or a recovery code."),
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "spellcheck": "false"}),
    )


class PasskeyForm(forms.Form):
    """A new passkey: what the person calls it, and what the device answered."""

    name = forms.CharField(
        label=_("Name of the device"),
        max_length=60,
        help_text=_("Such as “office computer” or “blue key”."),
    )
    passkey = forms.CharField(max_length=20_000, widget=forms.HiddenInput)


class ProofForm(forms.Form):
    """The password, or a code where there is a second factor: shown again."""

    proof = forms.CharField(
        label=_("Password or code"),
        max_length=256,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class RolesForm(forms.Form):
    """Which roles need a second factor."""

    roles = forms.MultipleChoiceField(
        label=_("Roles"),
        choices=ROLE_CHOICES,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )


class AuditFilter(django_filters.FilterSet):
    """What of the log is looked for."""

    event = django_filters.ChoiceFilter(label=_("What"), choices=Event.choices)
    who = django_filters.CharFilter(label=_("Who or about whom"), method="named")
    since = django_filters.DateFilter(
        label=_("From"),
        field_name="at",
        lookup_expr="date__gte",
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    until = django_filters.DateFilter(
        label=_("To"),
        field_name="at",
        lookup_expr="date__lte",
        widget=forms.DateInput(attrs={"type": "date"}),
    )

    class Meta:
        model = AuditLine
        fields: list[str] = []

    def named(self, rows: QuerySet[AuditLine], _name: str, text: str) -> QuerySet[AuditLine]:
        """Keep lines by or about a name."""
        known = text[:LONGEST_NAME]
        return rows.filter(Q(by_name__icontains=known) | Q(about__icontains=known))

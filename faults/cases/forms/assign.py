"""The forms that assign a fault to a person, and end the assignment."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.access import tracers_on
from faults.cases.forms.fields import DayField
from faults.models import Assignment, Fault
from sites.models import User


class AssignForm(forms.Form):
    """Who traces the fault, from which day on."""

    who = forms.ChoiceField(label=_("Who?"))
    from_on = DayField(label=_("From"))

    def __init__(self, *args: Any, fault: Fault, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        held = fault.assignments.filter(to_on__isnull=True).values("user")
        people = tracers_on(fault.property).exclude(pk__in=held).order_by("username", "pk")
        self.people = {str(user.pk): user for user in people}
        offered = self.fields["who"]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = [
            (pk, user.get_full_name() or str(user)) for pk, user in self.people.items()
        ]
        self.fields["from_on"].initial = today

    def clean_who(self) -> User:
        """Return who was chosen."""
        return self.people[self.cleaned_data["who"]]


class EndAssignmentForm(forms.Form):
    """Whose assignment ends, and on which day."""

    assignment = forms.ChoiceField(label=_("Whose?"))
    on = DayField(label=_("Ends on"))

    def __init__(self, *args: Any, fault: Fault, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = fault.assignments.filter(to_on__isnull=True).select_related("user")
        self.held = {str(one.pk): one for one in rows.order_by("user__username", "pk")}
        offered = self.fields["assignment"]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = [
            (pk, one.user.get_full_name() or str(one.user)) for pk, one in self.held.items()
        ]
        self.fields["on"].initial = today

    def clean_assignment(self) -> Assignment:
        """Return the assignment that ends."""
        return self.held[self.cleaned_data["assignment"]]

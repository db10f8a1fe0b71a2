"""What is asked once for all faults that are ticked."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.access import tracers_on
from faults.cases.forms.fields import DayField
from faults.cases.forms.report import TriageForm
from faults.models import Fault
from faults.models.job import PRIORITY_CHOICES
from sites.models import Station, User


class PlanManyForm(forms.Form):
    """How urgent the visits are; what each is for follows from how far its fault has come."""

    priority = forms.TypedChoiceField(
        label=_("Priority"), choices=PRIORITY_CHOICES, coerce=int, initial=2
    )
    due_on = DayField(label=_("Not after"), required=False)

    def __init__(self, *args: Any, rows: Sequence[Fault], today: date, **kwargs: Any) -> None:
        del rows, today
        super().__init__(*args, **kwargs)


class ReportManyForm(TriageForm):
    """What is the same of all of them; what differs is added on each fault's page."""

    def __init__(self, *args: Any, rows: Sequence[Station], today: date, **kwargs: Any) -> None:
        del rows
        super().__init__(*args, **kwargs)
        # Which other one it is differs from station to station.
        del self.fields["runs_with"]
        self.fields["reported_on"].initial = today


class AssignManyForm(forms.Form):
    """One person for all of them, from a day on."""

    who = forms.ChoiceField(label=_("Who?"))
    from_on = DayField(label=_("From"))

    def __init__(self, *args: Any, rows: Sequence[Fault], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        places = {row.property_id: row.property for row in rows}
        people = tracers_on(*places.values()).order_by("first_name", "username", "pk")
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

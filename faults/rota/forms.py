"""Which days and crews a rota is suggested for, and whether planned jobs may move."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import why_field
from faults.models import Crew
from faults.models.job import PRIORITY_CHOICES
from faults.rota.services.working_time import Asked, next_working_days

OFFERED_DAYS = 14
FIRST_TICKED = 5


class PriorityForm(forms.Form):
    """A priority, and why where it is not the one proposed."""

    priority = forms.TypedChoiceField(label=_("Priority"), choices=PRIORITY_CHOICES, coerce=int)
    why = why_field(
        label=_("Why"), help_text=_("Needed where it is not the priority that is proposed.")
    )


class SuggestForm(forms.Form):
    """Days from today, the crews, and one more choice."""

    days = forms.MultipleChoiceField(
        label=_("Days"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick at least one day.")},
    )
    crews = forms.MultipleChoiceField(
        label=_("Crews"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick at least one crew.")},
    )
    may_move = forms.BooleanField(
        label=_("Jobs that have a crew and a day may get another"),
        required=False,
        initial=True,
        help_text=_(
            "Locked jobs stay in any case, and each move has to save an hour of driving or make "
            "room for a job. Jobs of a crew that is away are planned again in any case."
        ),
    )

    def __init__(self, *args: Any, crews: list[Crew], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.by_ref = {crew.ref: crew for crew in crews}
        offered = [today + timedelta(days=n) for n in range(OFFERED_DAYS)]
        self._choices("days", [(day.isoformat(), date_format(day, "D Y-m-d")) for day in offered])
        self._choices("crews", [(crew.ref, crew.name) for crew in crews])
        ticked = next_working_days(crews, today, FIRST_TICKED)
        self.initial = {"days": [day.isoformat() for day in ticked], "crews": list(self.by_ref)}

    def _choices(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = choices

    def asked(self) -> Asked:
        """Return what was filled in; call it once the form is valid."""
        data = self.cleaned_data
        return Asked(
            tuple(sorted(date.fromisoformat(day) for day in data["days"])),
            tuple(crew for ref, crew in self.by_ref.items() if ref in data["crews"]),
            data["may_move"],
        )

"""The form that sends a crew to a job."""

from collections.abc import Sequence
from datetime import date, time
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, TimeField
from faults.models import Crew, Job
from faults.work.forms.reasons import planning_why


class SendForm(forms.Form):
    """Which crew goes, on which day, from when on.

    Args:
        crews: those that can be chosen, each with its `best_skill` today.
    """

    crew = forms.ChoiceField(label=_("Crew"))
    day = DayField(label=_("Day"))
    starts_at = TimeField(
        label=_("At"), required=False, help_text=_("Only where a time was promised.")
    )
    why = planning_why()

    def __init__(
        self, *args: Any, crews: Sequence[Crew], job: Job | None, today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.crews = {crew.ref: crew for crew in crews}
        offered = self.fields["crew"]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = [(ref, crew_words(crew)) for ref, crew in self.crews.items()]
        if job is not None and job.crew is not None:
            offered.initial = job.crew.ref
        wished = [today, job and job.day, job and job.earliest_on]
        self.fields["day"].initial = max(day for day in wished if isinstance(day, date))
        self.fields["starts_at"].initial = job and job.starts_at

    def values(self) -> dict[str, object]:
        """Return crew, day and time for the verb, and why."""
        data = self.cleaned_data
        starts_at: time | None = data["starts_at"]
        return {
            "crew": self.crews[data["crew"]],
            "day": data["day"],
            "starts_at": starts_at,
            "why": data["why"],
        }


def crew_words(crew: Crew) -> str:
    """Name a crew with its vehicle and the best skill in it today."""
    skill = getattr(crew, "best_skill", None)
    level = gettext("skill %s") % skill if skill else gettext("nobody in it today")
    return f"{crew} ({', '.join(word for word in (crew.vehicle, level) if word)})"

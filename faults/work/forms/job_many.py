"""What is asked once for all jobs that are ticked."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, why_field
from faults.models import Job
from faults.work.forms.reasons import planning_why
from faults.work.forms.sending import crew_words
from faults.work.queries.jobs import crews_to_send


class DayManyForm(forms.Form):
    """One day for all of them; each keeps its crew and its time."""

    day = DayField(label=_("Day"))
    why = planning_why()

    def __init__(self, *args: Any, rows: Sequence[Job], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        latest = max((row.day for row in rows if row.day), default=today)
        self.fields["day"].initial = max(latest, today) + timedelta(days=1)


class SendManyForm(forms.Form):
    """One crew and one day for all of them; no time is promised by it."""

    crew = forms.ChoiceField(label=_("Crew"))
    day = DayField(label=_("Day"))
    why = planning_why()

    def __init__(self, *args: Any, rows: Sequence[Job], today: date, **kwargs: Any) -> None:
        del rows
        super().__init__(*args, **kwargs)
        self.crews = {crew.ref: crew for crew in crews_to_send(on=today)}
        offered = self.fields["crew"]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = [(ref, crew_words(crew)) for ref, crew in self.crews.items()]
        self.fields["day"].initial = today + timedelta(days=1)

    def values(self) -> dict[str, object]:
        """Return crew, day and why for the verb."""
        data = self.cleaned_data
        return {"crew": self.crews[data["crew"]], "day": data["day"], "why": data["why"]}


class WhyManyForm(forms.Form):
    """One reason for all of them."""

    why = why_field(required=True)

    def __init__(self, *args: Any, rows: Sequence[Job], today: date, **kwargs: Any) -> None:
        del rows, today
        super().__init__(*args, **kwargs)

"""The forms of who was there on a visit."""

import zoneinfo
from collections.abc import Sequence
from datetime import date, time
from typing import Any

from django import forms
from django.utils.timezone import localtime
from django.utils.translation import gettext_lazy as _

from faults.cases.engines.labour import usual_charge
from faults.cases.forms.fields import DayField, TimeField, why_field
from faults.models import DID_CHOICES, Job, PersonThere
from faults.work.queries.people import people_of_crew, people_offered
from faults.work.services.people import Times, user_words
from sites.models import User


class TimesForm(forms.Form):
    """What was done, on which day, from when to when."""

    did = forms.ChoiceField(label=_("Doing what"), choices=DID_CHOICES)
    on = DayField(label=_("Day"))
    starts = TimeField(label=_("From"))
    ends = TimeField(label=_("To"), help_text=_("An earlier time is that of the next day."))

    def times(self) -> Times:
        """Return when it was, for the verb."""
        return times_of(self.cleaned_data)


def times_of(data: dict[str, Any]) -> Times:
    """Return the times that a form or a phone has read."""
    return Times(data["on"], data["starts"], data["ends"])


class PeopleForm(TimesForm):
    """Who was there together; the crew of the day is ticked."""

    def __init__(
        self,
        *args: Any,
        job: Job,
        today: date,
        crew: Sequence[User] | None = None,
        **kwargs: Any,
    ) -> None:
        """With a crew, nobody else is offered: a phone has no room for a long list."""
        day = job.day or today
        others = people_offered if crew is None else lambda _crew: []
        crew = people_of_crew(job, day) if crew is None else crew
        start: dict[str, Any] = {
            "people": [str(user.pk) for user in crew],
            "did": usual_charge(digs=job.digs()).value,
            "on": min(day, today),
            **began(job),
        }
        super().__init__(*args, **{"initial": start, **kwargs})
        self.users = {str(user.pk): user for user in [*crew, *others(crew)]}
        self.fields["people"] = forms.MultipleChoiceField(
            label=_("Who was there"),
            choices=[(key, user_words(user)) for key, user in self.users.items()],
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )
        self.fields["others"] = forms.CharField(
            label=_("Others, by name"),
            max_length=200,
            required=False,
            help_text=_("Helpers without an account, with commas between them."),
        )
        self.order_fields(["people", "others", "did", "on", "starts", "ends"])

    def values(self) -> dict[str, object]:
        """Return people, names, what was done and the times for the verb."""
        data = self.cleaned_data
        return {
            "people": self.people_chosen(data["people"]),
            "others": data["others"].split(","),
            "did": data["did"],
            "times": self.times(),
        }

    def people_chosen(self, keys: list[str]) -> list[User]:
        """Return the people of these keys, in the order of the form."""
        return [user for key, user in self.users.items() if key in keys]


def began(job: Job) -> dict[str, time]:
    """Return when a visit began and ended, as clocks there show it, where that is known."""
    zone = zoneinfo.ZoneInfo(job.property.time_zone)
    moments = {"starts": job.started_at, "ends": job.ended_at}
    return {
        name: localtime(at, zone).time().replace(second=0, microsecond=0)
        for name, at in moments.items()
        if at is not None
    }


class CorrectPersonForm(TimesForm):
    """What one person did, and from when to when."""

    def __init__(self, *args: Any, person: PersonThere, **kwargs: Any) -> None:
        start, end = person.local_from, person.local_to
        known = {
            "did": person.did,
            "on": start.date(),
            "starts": start.time(),
            "ends": end.time(),
        }
        super().__init__(*args, **{"initial": known, **kwargs})
        self.fields["why"] = why_field(required=True, label=_("What was wrong?"))

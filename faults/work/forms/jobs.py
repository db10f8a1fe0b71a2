"""The forms that plan, send, hold, make and finish jobs."""

from collections.abc import Collection, Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, Group, GroupedForm, depth_field, why_field
from faults.cases.services.naming import UnableToFindStation, find_stations
from faults.events import SearchTime
from faults.models import (
    SKILL_CHOICES,
    Fault,
    FaultStation,
    HeldFor,
    Job,
    JobKind,
)
from faults.models.job import PRIORITY_CHOICES
from faults.work.engines.safety import Situation
from faults.work.forms.reasons import planning_why
from faults.work.services.safety import SITUATION_WORDS
from faults.work.services.told import JobFacts
from sites.models import Device, Property, Station

WHAT = _("What is to be done")
WHEN = _("When it may go")
ALONG = _("What it takes along")
HOLE = _("The hole")


def situations_field() -> forms.MultipleChoiceField:
    """Return the ticks for what is around a hole."""
    return forms.MultipleChoiceField(
        label=_("Around the hole"),
        choices=[(each.value, SITUATION_WORDS[each]) for each in Situation],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )


class FactsForm(GroupedForm):
    """What a job needs. A dig asks for its depth too."""

    expected_minutes = forms.IntegerField(
        label=_("Expected minutes"), min_value=1, max_value=14 * 24 * 60
    )
    priority = forms.TypedChoiceField(label=_("Priority"), choices=PRIORITY_CHOICES, coerce=int)
    skill_needed = forms.TypedChoiceField(
        label=_("Skill needed"), choices=SKILL_CHOICES, coerce=int
    )
    people_needed = forms.IntegerField(label=_("People needed"), min_value=1, max_value=20)
    earliest_on = DayField(label=_("Not before"), required=False)
    due_on = DayField(label=_("Not after"), required=False)
    situations = situations_field()
    equipment = forms.CharField(
        label=_("Equipment"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Proposed by kind of job: common practice, no source. Change it freely."),
    )
    parts_needed = forms.CharField(
        label=_("Parts needed"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    notes = forms.CharField(
        label=_("Notes"),
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("What the crew must know. No gate codes: they would travel in calendars."),
    )

    def __init__(
        self, *args: Any, place: Property, opens_ground: bool, facts: JobFacts, **kwargs: Any
    ) -> None:
        known: dict[str, object] = {name: getattr(facts, name) for name in JobFacts.names()}
        known["situations"] = [each.value for each in facts.situations]
        given = kwargs.pop("initial", None) or {}
        super().__init__(*args, **{"initial": {**known, **given}, **kwargs})
        if opens_ground:
            self.fields["planned_depth_in"] = depth_field(place, _("Planned depth"))
        else:
            del self.fields["situations"]

    def grouping(self) -> list[Group]:
        """What, when, the hole, what goes along."""
        return [
            (
                WHAT,
                [
                    "stations",
                    "devices",
                    "expected_minutes",
                    "skill_needed",
                    "people_needed",
                    "priority",
                ],
            ),
            (HOLE, ["planned_depth_in", "situations"]),
            (WHEN, ["earliest_on", "due_on"]),
            (ALONG, ["equipment", "parts_needed", "notes"]),
        ]

    def facts(self) -> JobFacts:
        """Return the cleaned values as the verb's arguments."""
        data = dict(self.cleaned_data)
        told = {name: data[name] for name in JobFacts.names() if name in data}
        around = tuple(Situation(word) for word in data.get("situations", ()))
        return JobFacts(**told, situations=around)


class PlanForm(FactsForm):
    """A new job: its stations, the battery timers that it visits, and what it needs."""

    def __init__(
        self,
        *args: Any,
        place: Property,
        fault: Fault | None,
        rows: Sequence[FaultStation],
        devices: Sequence[Device],
        due: Collection[int] = (),
        search: SearchTime | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, place=place, **kwargs)
        self.place, self.rows = place, {str(row.station_id): row for row in rows}
        if search is not None:
            self.fields["expected_minutes"].help_text = gettext(
                "By this fault's own search: %(mean)s minutes expected, nine of ten such searches "
                "end within %(nine)s."
            ) % {"mean": search.expected, "nine": search.nine_of_ten}
        self.timers = {str(device.pk): device for device in devices}
        self.fields["stations"] = self._by_tick() if fault is not None else self._by_name()
        if self.timers:
            self.fields["devices"] = forms.MultipleChoiceField(
                label=_("Battery timers that it visits"),
                choices=[(pk, _timer_words(device)) for pk, device in self.timers.items()],
                initial=[pk for pk, device in self.timers.items() if device.pk in due],
                required=False,
                widget=forms.CheckboxSelectMultiple,
            )

    def _by_tick(self) -> forms.Field:
        return forms.MultipleChoiceField(
            label=_("Stations"),
            choices=[
                (pk, f"{row.station} {row.station.name} ({row.get_stage_display()})")
                for pk, row in self.rows.items()
            ],
            initial=list(self.rows),
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )

    def _by_name(self) -> forms.Field:
        return forms.CharField(
            label=_("Stations"),
            max_length=400,
            required=False,
            help_text=_("Controller:number, several with commas: B:7, 9, 12-14. Or none."),
            widget=forms.TextInput(attrs={"autocomplete": "off"}),
        )

    def clean(self) -> dict[str, object]:
        """Turn what was named into stations."""
        data = super().clean() or {}
        named = data.get("stations")
        if isinstance(named, list):
            data["stations"] = [self.rows[pk].station for pk in named]
        elif named:
            try:
                data["stations"] = find_stations(self.place, named)
            except UnableToFindStation as refusal:
                self.add_error("stations", str(refusal))
        else:
            data["stations"] = []
        return data

    def stations(self) -> list[Station]:
        """Return the stations that the visit goes to."""
        stations: list[Station] = self.cleaned_data["stations"]
        return stations

    def devices(self) -> list[Device]:
        """Return the battery timers that the visit goes to."""
        return [self.timers[pk] for pk in self.cleaned_data.get("devices", ())]


def _timer_words(device: Device) -> str:
    """Name a timer with the stations that it runs."""
    runs = ", ".join(str(stopgap.station) for stopgap in device.in_ground)  # type: ignore[attr-defined]
    return f"{device}: {runs}" if runs else str(device)


class KindForm(forms.Form):
    """Which kind of job; the page asks before the rest, because the rest depends on it."""

    kind = forms.ChoiceField(choices=JobKind.choices)


class WhyForm(forms.Form):
    """A reason."""

    why = why_field(required=True)


class SplitForm(forms.Form):
    """How many minutes go into the new part, and on which day it is made."""

    minutes = forms.IntegerField(label=_("Minutes of the new part"), min_value=1)
    day = DayField(
        label=_("Day of the new part"),
        required=False,
        help_text=_("By the same crew. Empty: it waits to be assigned."),
    )
    why = planning_why()

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["minutes"].initial = job.expected_minutes // 2 or 1
        if job.crew is None:
            del self.fields["day"], self.fields["why"]


class HoldForm(forms.Form):
    """Whom or what the job waits for, and since when."""

    held_for = forms.ChoiceField(label=_("What does it wait for?"), choices=HeldFor.choices)
    since = DayField(label=_("Since"))

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["since"].initial = today


class FinishForm(forms.Form):
    """How long it took."""

    actual_minutes = forms.IntegerField(
        label=_("Minutes that it took"), min_value=1, max_value=14 * 24 * 60
    )

    def __init__(self, *args: Any, minutes: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["actual_minutes"].initial = minutes


class VehicleForm(forms.Form):
    """What is on the vehicle."""

    parts_ready = forms.BooleanField(label=_("The parts are on the vehicle"), required=False)
    batteries_ready = forms.BooleanField(
        label=_("The batteries are on the vehicle"), required=False
    )

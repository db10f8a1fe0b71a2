"""The form of every move of stage, and the one that schedules a visit."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.access import tracers_on
from faults.cases.forms.fields import DayField, GroupedForm, TimeField, why_field
from faults.cases.services.told import StageFacts, Visit
from faults.models import Fault, FaultStation
from faults.work.forms.sending import crew_words
from faults.work.queries.jobs import crews_to_send
from faults.work.services.visits import CrewVisit

WHICH = _("Which stations, on which day")


class MoveForm(GroupedForm):
    """Which stations move, on which day, and why. A stage adds what it asks for.

    Args:
        rows: the stations of the fault that this user may move so.
        chosen: rows that start ticked; all, when empty.
        is_back: every one of these moves must be explained.
    """

    stations = forms.MultipleChoiceField(
        label=_("Stations"), required=False, widget=forms.CheckboxSelectMultiple
    )
    on = DayField(label=_("On which day?"))
    why = why_field()

    field_order = ["stations", "on"]

    def __init__(
        self,
        *args: Any,
        fault: Fault,
        rows: Sequence[FaultStation],
        chosen: Sequence[FaultStation],
        today: date,
        is_back: bool,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fault, self.rows = fault, rows
        offered = self.fields["stations"]
        assert isinstance(offered, forms.MultipleChoiceField)
        offered.choices = [(str(row.pk), _label(row)) for row in rows]
        offered.initial = [str(row.pk) for row in chosen or rows]
        self.fields["on"].initial = today
        if is_back:
            self.fields["why"] = why_field(required=True)
        self.ask()

    def ask(self) -> None:
        """Fill the choices that depend on the fault."""

    def clean_stations(self) -> list[FaultStation]:
        """Return the stations that were ticked."""
        ticked = set(self.cleaned_data["stations"])
        return [row for row in self.rows if str(row.pk) in ticked]

    def facts(self) -> StageFacts | CrewVisit | None:
        """Return what the stage asks for, for the verb."""
        return None


def _label(row: FaultStation) -> str:
    words = f"{row.station} {row.station.name}".strip()
    return f"{words} ({row.get_stage_display()})"


class ScheduleForm(MoveForm):
    """Which crew goes, and when. Where nobody has set up crews yet: which person."""

    crew = forms.ChoiceField(label=_("Which crew goes?"))
    who = forms.ChoiceField(label=_("Who goes?"))
    day = DayField(label=_("On which day do they go?"))
    starts_at = TimeField(
        label=_("At"), required=False, help_text=_("Only where a time was promised.")
    )

    field_order = ["stations", "crew", "who", "day", "starts_at", "on", "why"]

    def ask(self) -> None:
        """Offer the crews, or the technicians and tracers of this property."""
        self.fields["on"].label = _("Scheduled on")
        on = self.fields["on"].initial
        self.crews = {crew.ref: crew for crew in crews_to_send(on=on)}
        if self.crews:
            del self.fields["who"]
            self._offer("crew", [(ref, crew_words(crew)) for ref, crew in self.crews.items()])
            return
        del self.fields["crew"], self.fields["starts_at"]
        people = tracers_on(self.fault.property).order_by("username", "pk")
        self.people = {str(user.pk): user for user in people}
        self._offer("who", [(pk, str(user)) for pk, user in self.people.items()])

    def _offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        offered = self.fields[name]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = choices

    def facts(self) -> StageFacts | CrewVisit:
        """Return the visit."""
        data = self.cleaned_data
        if self.crews:
            return CrewVisit(self.crews[data["crew"]], data["day"], data["starts_at"])
        return Visit(self.people[data["who"]], data["day"])

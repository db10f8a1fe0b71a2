"""Verbs on a station: its own facts, what it waters, its schedules."""

from collections.abc import Callable
from typing import Any

from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.dated import last_row, lasting
from sites.kernel.views.verb_help import ChosenMixin, DatedMixin, StationView, chosen_row
from sites.kernel.views.verb_views import Text
from sites.models import Property, Schedule, Station, StationFacts
from sites.register.forms.stations import ScheduleForm, StationFactsForm, StationForm
from sites.register.queries.stations import upper_stations
from sites.register.services.facts import (
    change_facts,
    change_schedule,
    correct_facts,
    correct_schedule,
    end_schedule,
    facts_now,
    go_on_with_schedule,
    take_back_facts,
    take_back_schedule,
)
from sites.register.services.property_facts import change_station
from sites.templatetags.register import area, flow


class StationEdit(StationView):
    """Name, kind, what it depends on, coil, run, notes."""

    verb = change_station
    heading = _("Change station %s")

    def get_form(self) -> StationForm:
        return StationForm(self.posted, station=self.row, uppers=upper_stations(self.row))


class _OfFacts(ChosenMixin[Station], StationView):
    def get_rows(self) -> list[StationFacts]:
        return lasting(self.row.facts)

    def get_usual(self) -> StationFacts | None:
        return facts_now(self.row)


class StationFactsChange(DatedMixin[Station], _OfFacts):
    """What it waters, and how much it gives: changed from a day, or was wrong."""

    verb = change_facts
    correct = correct_facts
    takes_chosen = "facts"
    form_class = StationFactsForm
    heading = _("What station %s waters")

    def get_first(self) -> StationFacts:
        return StationFacts(station=self.row)

    def get_words(self, row: StationFacts) -> str:
        return facts_words(row, self.get_place())

    def get_take_back(self) -> str:
        has_changed = self.usual and self.usual.from_on
        return reverse("sites:station_facts_back", args=[self.row.ref]) if has_changed else ""


def facts_words(row: StationFacts, place: Property) -> str:
    """Say in one line what a station waters."""
    pieces = [area(row.area_sqft, place), flow(row.flow_gpm, place), row.plant_kind]
    if row.precipitation_in_per_h is not None:
        pieces.append(_("%s in/h") % f"{row.precipitation_in_per_h:g}")
    if row.plant_factor is not None:
        pieces.append(_("plant factor %s") % f"{row.plant_factor:g}")
    if row.efficiency is not None:
        pieces.append(_("efficiency %s") % f"{row.efficiency:g}")
    return ", ".join(piece for piece in pieces if piece) or str(_("nothing known"))


class StationFactsBack(_OfFacts):
    """Take the latest change of its facts back."""

    verb = take_back_facts
    form_class = WhyForm
    heading, button = _("Take the latest change back"), _("It did not change")
    done = _("Taken back. What held before holds again.")

    def get_lead(self) -> Text:
        return facts_words(self.usual, self.get_place()) if self.usual else ""

    def get_back(self) -> str:
        return reverse("sites:station_facts", args=[self.row.ref])


class _OfSchedule(ChosenMixin[Station], StationView):
    takes_chosen = "schedule"

    def get_rows(self) -> list[Schedule]:
        return lasting(self.row.schedules)

    def get_usual(self) -> Schedule | None:
        return last_row(self.row.schedules)

    @cached_property
    def is_ended(self) -> bool:
        """Whether the chosen schedule has ended."""
        return self.chosen is not None and self.chosen.to_on is not None


class StationSchedule(DatedMixin[Station], _OfSchedule):
    """When it waters: changed from a day, was wrong, or ended; `?row=new` adds another."""

    verb = change_schedule
    correct = correct_schedule
    end = end_schedule
    form_class = ScheduleForm
    heading = _("When station %s waters")

    @property
    def is_new(self) -> bool:
        """Whether another schedule is added."""
        return self.request.GET.get("row") == "new"

    @cached_property
    def chosen(self) -> Schedule | None:
        """The schedule that is changed, or None for a new one."""
        return None if self.is_new else chosen_row(self.request, self.rows, self.usual)

    def get_form(self) -> ScheduleForm:
        is_open = self.chosen is not None and not self.is_ended
        return ScheduleForm(self.posted, row=self.chosen, is_current=is_open)

    def get_first(self) -> Schedule:
        return Schedule(station=self.row)

    def get_words(self, row: Schedule) -> str:
        return schedule_words(row)

    def get_take_back(self) -> str:
        address = reverse("sites:station_schedule_back", args=[self.row.ref])
        return f"{address}?row={self.chosen.pk}" if self.chosen else ""

    def get_extra(self) -> dict[str, object]:
        return {**super().get_extra(), "another": bool(self.rows) and not self.is_new}


def schedule_words(row: Schedule) -> str:
    """Say in one line when a station waters."""
    minutes = _("%s min") % f"{row.minutes:g}"
    pieces = (row.get_run_by_display() if row.run_by else "", row.days, row.starts, minutes)
    return ", ".join(str(piece) for piece in pieces if piece)


class StationScheduleBack(_OfSchedule):
    """Take a schedule back, or the end of one."""

    verb = take_back_schedule
    change = go_on_with_schedule
    form_class = WhyForm

    def get_verb(self) -> Callable[..., Any]:
        return type(self).change if self.is_ended else type(self).verb

    def get_heading(self) -> Text:
        return _("Let this schedule go on") if self.is_ended else _("Take this schedule back")

    def get_button(self) -> Text:
        return _("It did not end") if self.is_ended else _("It did not begin")

    def get_lead(self) -> Text:
        return schedule_words(self.chosen) if self.chosen else ""

    def get_back(self) -> str:
        return reverse("sites:station_schedule", args=[self.row.ref])

    def named(self, verb: Callable[..., Any], data: dict[str, object]) -> dict[str, object]:
        return super().named(verb, {"schedule": self.chosen or Schedule(station=self.row), **data})

    def get_done(self) -> Text:
        if self.is_ended:
            return _("Taken back. The schedule goes on.")
        return _("Taken back. What held before holds again.")

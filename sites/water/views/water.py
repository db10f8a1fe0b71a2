"""Verbs on what befell a station's water: days on which nothing ran, a valve stuck open."""

from collections.abc import Sequence
from typing import Any

from django.db.models import Model
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.verb_help import ChosenMixin, StationView
from sites.kernel.views.verb_views import Text
from sites.models import Outage, Station
from sites.water.forms.inputs import OutageForm, StuckOpenForm
from sites.water.queries.climate import outages_of, stuck_open_of
from sites.water.services.outages import (
    change_outage,
    note_outage,
    note_stuck_open,
    take_back_outage,
    take_back_stuck_open,
)


class _BackToWater(StationView):
    def get_back(self) -> str:
        return reverse("reports:station_water", args=[self.row.ref])


class _OfOutage(ChosenMixin[Station], _BackToWater):
    takes_chosen = "outage"

    def get_rows(self) -> Sequence[Outage]:
        return outages_of(self.row)

    def get_watched(self) -> list[Model]:
        return [self.chosen or self.row]


class StationOutage(_OfOutage):
    """Note days on which nothing ran, or change those that `?row=` names."""

    verb = note_outage
    change = change_outage
    heading, button = _("Days on which nothing ran at %s"), _("Keep these days")
    lead = _("A dead battery, a timer switched off, or emptied for winter.")
    done = _("Kept. What it costs was recalculated.")
    form_class = OutageForm
    starts_today = ("from_on",)


class _TakeBackMixin(ChosenMixin[Station], _BackToWater):
    form_class = WhyForm

    def get_usual(self) -> Any:
        return self.rows[0] if self.rows else None

    def elsewhere(self) -> str:
        return "" if self.chosen else self.get_back()

    def get_watched(self) -> list[Model]:
        return [self.chosen]


class StationOutageBack(_TakeBackMixin, _OfOutage):
    """Take back the days that `?row=` names."""

    verb = take_back_outage
    button = _("It did run")
    done = _("Taken back. What it costs was recalculated.")

    def get_heading(self) -> Text:
        day = self.chosen.from_on.isoformat()
        return str(_("Take back that nothing ran from %s on") % day)


class StationStuckOpen(_BackToWater):
    """Note that its valve stayed open for some hours."""

    verb = note_stuck_open
    form_class = StuckOpenForm
    starts_today = ("on",)
    heading = _("The valve of %s stayed open")
    lead = _("Such as after a battery died in the middle of a run.")
    done = _("Kept, apart from what its schedule gives.")


class StationStuckOpenBack(_TakeBackMixin):
    """Take back the incident that `?row=` names."""

    verb = take_back_stuck_open
    takes_chosen = "incident"
    button = _("It did not")
    done = _("Taken back.")

    def get_rows(self) -> Sequence[object]:
        return stuck_open_of(self.row)

    def get_heading(self) -> Text:
        return str(_("Take back that the valve stayed open on %s") % self.chosen.on.isoformat())

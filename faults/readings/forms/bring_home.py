"""The form of a bring-home round: what each loop read."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from faults.cases.forms.fields import DayField
from faults.models import ReadingKind
from faults.readings.forms.meter import MeterField
from faults.readings.forms.readings import ground_temperature
from faults.readings.services.loops import LoopRead
from sites.models import Property, Station

APART = [
    ("", gettext_lazy("not looked")),
    ("open", gettext_lazy("open")),
    ("closed", gettext_lazy("not open")),
]
APART_MEANS = {"open": True, "closed": False}


class LoopsForm(forms.Form):
    """The ohms of each loop, how it was connected, and whether it was open apart."""

    taken_on = DayField(label=gettext_lazy("Day"))
    taken_by = forms.CharField(label=gettext_lazy("By"), max_length=60, required=False)

    def __init__(
        self, *args: Any, stations: Sequence[Station], place: Property, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.stations = stations
        self.fields["temperature_f"] = ground_temperature(place)
        for station in stations:
            self.fields[f"apart_{station.pk}"] = forms.ChoiceField(
                label=gettext_lazy("Apart"), choices=APART, required=False
            )
            self.fields[f"loop_{station.pk}"] = self._meter(ReadingKind.LOOP)
            self.fields[f"across_{station.pk}"] = self._meter(ReadingKind.OHMS)

    def _meter(self, kind: ReadingKind) -> MeterField:
        attrs = {"inputmode": "decimal", "autocomplete": "off", "size": 6}
        return MeterField(kind=kind, required=False, widget=forms.TextInput(attrs=attrs))

    def clean(self) -> dict[str, object]:
        """What was said of a loop that was not read would be lost."""
        cleaned = super().clean() or {}
        for station in self.stations:
            said = cleaned.get(f"apart_{station.pk}") or cleaned.get(f"across_{station.pk}")
            if said and cleaned.get(f"loop_{station.pk}") is None and not self._is_wrong(station):
                self.add_error(f"loop_{station.pk}", str(gettext_lazy("What does the meter show?")))
        return cleaned

    def _is_wrong(self, station: Station) -> bool:
        return f"loop_{station.pk}" in self.errors

    def loops(self) -> list[LoopRead]:
        """Return each loop that was read."""
        data = self.cleaned_data
        return [
            LoopRead(
                station,
                data[f"loop_{station.pk}"],
                APART_MEANS.get(data.get(f"apart_{station.pk}", "")),
                data.get(f"across_{station.pk}"),
            )
            for station in self.stations
            if data.get(f"loop_{station.pk}") is not None
        ]

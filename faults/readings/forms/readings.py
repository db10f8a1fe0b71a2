"""Forms of readings: one, a whole controller's, a walk."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext, gettext_lazy

from faults.cases.forms.fields import DayField
from faults.models import ReadingKind, WalkResult
from faults.readings.forms.meter import MeterField, NotOnAMeter, parse_value
from sites.cells.engines.measures import TEMPERATURE
from sites.kernel.forms.fields import MeasureField
from sites.models import Property, Station
from sites.wires.services.warmth import LEAST_GROUND_F, MOST_GROUND_F


def ground_temperature(place: Property) -> MeasureField:
    """Return the field that asks how warm the ground was."""
    return MeasureField(
        gettext("Ground temperature"),
        TEMPERATURE,
        place,
        min_value=LEAST_GROUND_F,
        max_value=MOST_GROUND_F,
        help_text=gettext_lazy(
            "In a valve box, if you can: a coil reads some ohms more in summer. Without it the "
            "ground's usual warmth of the day is taken."
        ),
    )


# A distance and a bring-home test have pages of their own.
BY_STATION = (ReadingKind.OHMS, ReadingKind.VOLTS, ReadingKind.INSULATION)


class ReadingForm(forms.Form):
    """One reading: what was measured is a tap, the value comes from the number pad."""

    kind = forms.ChoiceField(
        label=gettext_lazy("Measured"),
        choices=[choice for choice in ReadingKind.choices if choice[0] in BY_STATION],
        initial=ReadingKind.OHMS,
        widget=forms.RadioSelect,
    )
    value = forms.CharField(
        label=gettext_lazy("The meter shows"),
        help_text=gettext_lazy("Ohms, volts or megohms; OL for open; k for thousands, as in 1.2k."),
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    taken_on = DayField(label=gettext_lazy("Day"))
    temperature_f = forms.FloatField(required=False)
    is_loaded = forms.BooleanField(
        label=gettext_lazy("With the valve running (volts only)"), required=False
    )
    is_new_coil = forms.BooleanField(
        label=gettext_lazy("A new coil since the last reading"), required=False
    )
    taken_by = forms.CharField(label=gettext_lazy("By"), max_length=60, required=False)

    def __init__(self, *args: Any, place: Property, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["temperature_f"] = ground_temperature(place)

    def clean(self) -> dict[str, object]:
        """Read the value as a meter of that kind shows it."""
        cleaned = super().clean() or {}
        if "value" in cleaned and "kind" in cleaned:
            try:
                cleaned["value"] = parse_value(cleaned["value"], cleaned["kind"])
            except NotOnAMeter as refusal:
                self.add_error("value", str(refusal))
        return cleaned


class VoidForm(forms.Form):
    """Why a reading is taken out."""

    why = forms.CharField(label=gettext_lazy("Why was it wrong?"), max_length=200)


class RoundForm(forms.Form):
    """Day, person and ground of a round of readings, and the cells of each of its stations."""

    taken_on = DayField(label=gettext_lazy("Day"))
    taken_by = forms.CharField(label=gettext_lazy("By"), max_length=60, required=False)

    def __init__(
        self, *args: Any, stations: Sequence[Station], place: Property, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.stations = stations
        self.fields["temperature_f"] = ground_temperature(place)
        for station in stations:
            self.fields |= self.cells(station)

    def cells(self, station: Station) -> dict[str, forms.Field]:
        """Return the cells of a station by name."""
        raise NotImplementedError

    @staticmethod
    def meter(kind: ReadingKind, label: str = "") -> MeterField:
        """Return the cell for what a meter shows; an empty one was not read."""
        attrs = {"inputmode": "decimal", "autocomplete": "off", "size": 7}
        return MeterField(
            kind=kind, required=False, label=label, widget=forms.TextInput(attrs=attrs)
        )


class CheckUpForm(RoundForm):
    """The ohms, and where measured the insulation, of all stations of a controller."""

    def cells(self, station: Station) -> dict[str, forms.Field]:
        """Return a cell for each kind."""
        return {
            f"{kind}_{station.pk}": self.meter(kind, f"{station.number} {kind.label}")
            for kind in (ReadingKind.OHMS, ReadingKind.INSULATION)
        }

    def values(self) -> list[tuple[Station, str, float]]:
        """Return (station, kind, value) for each cell that was filled in."""
        return [
            (station, kind.value, self.cleaned_data[f"{kind}_{station.pk}"])
            for station in self.stations
            for kind in (ReadingKind.OHMS, ReadingKind.INSULATION)
            if self.cleaned_data.get(f"{kind}_{station.pk}") is not None
        ]


class WalkForm(forms.Form):
    """What each station of a controller did, seen at its valve."""

    seen_on = DayField(label=gettext_lazy("Day"))

    def __init__(self, *args: Any, stations: Sequence[Station], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stations = stations
        for station in stations:
            self.fields[f"result_{station.pk}"] = forms.ChoiceField(
                required=False, label=str(station), choices=[("", "—"), *WalkResult.choices]
            )
            self.fields[f"note_{station.pk}"] = forms.CharField(required=False, max_length=200)

    def seen(self) -> list[tuple[Station, str, str]]:
        """Return (station, result, note) for each station that was seen."""
        return [
            (
                station,
                self.cleaned_data[f"result_{station.pk}"],
                self.cleaned_data[f"note_{station.pk}"],
            )
            for station in self.stations
            if self.cleaned_data.get(f"result_{station.pk}")
        ]

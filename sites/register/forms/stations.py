"""Forms of the verbs on stations and controllers."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from sites.cells.engines.measures import AREA, FLOW, LENGTH, RATE
from sites.cells.services.columns import Manner
from sites.cells.services.refusals import Unreadable
from sites.cells.services.timetable import Days, Starts
from sites.kernel.forms.fields import DatedForm, FactsForm, MeasureField
from sites.models import Controller, Property, RunBy, Station, StationKind, Wiring

NOTES = {"rows": 3}


class RenumberForm(forms.Form):
    """A new number beside each old one."""

    def __init__(self, *args: Any, stations: Sequence[Station], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stations = stations
        for station in stations:
            self.fields[f"n{station.pk}"] = forms.IntegerField(
                label=f"{station.number} {station.name}".strip(),
                initial=station.number,
                min_value=1,
                max_value=9999,
            )

    def numbers(self) -> dict[int, int]:
        """Return the number of each station as typed."""
        return {each.pk: self.cleaned_data[f"n{each.pk}"] for each in self.stations}


class StationForm(FactsForm):
    """A station's own facts."""

    name = forms.CharField(label=_("Name"), max_length=120, required=False)
    kind = forms.ChoiceField(label=_("Kind"), choices=StationKind.choices)
    depends_on: Any = forms.ModelChoiceField(
        label=_("Depends on"),
        queryset=None,
        required=False,
        empty_label=_("nothing"),
        help_text=_("A master valve or pump start of this property."),
    )
    coil_ohms = forms.FloatField(label=_("Coil, ohms"), required=False, min_value=0)
    second_coil_ohms = forms.FloatField(
        label=_("Second coil on the same wire, ohms"),
        required=False,
        min_value=0,
        help_text=_("Where two valves hang on this station's wire; empty where there is one."),
    )
    notes = forms.CharField(label=_("Notes"), required=False, widget=forms.Textarea(attrs=NOTES))
    value_fields = (
        *("name", "kind", "depends_on", "coil_ohms", "second_coil_ohms"),
        *("run_length_ft", "notes"),
    )

    def __init__(
        self, *args: Any, station: Station, uppers: QuerySet[Station], **kwargs: Any
    ) -> None:
        known = {name: getattr(station, name) for name in self.value_fields}
        super().__init__(*args, **{**kwargs, "initial": known})
        depends: Any = self.fields["depends_on"]
        depends.queryset = uppers
        self.fields["run_length_ft"] = MeasureField(
            str(_("Run from controller to valve")), LENGTH, station.controller.property
        )
        self.order_fields(self.value_fields)


class StationFactsForm(DatedForm):
    """What a station waters, and how much it gives."""

    plant_kind = forms.CharField(label=_("Plants"), max_length=60, required=False)
    plant_factor = forms.FloatField(
        label=_("Plant factor"), required=False, min_value=0, max_value=2
    )
    efficiency = forms.FloatField(
        label=_("Efficiency"),
        required=False,
        min_value=0.01,
        max_value=1,
        help_text=_("Part of the water that reaches the roots, from 0 to 1."),
    )
    value_fields = (
        "area_sqft",
        "flow_gpm",
        "precipitation_in_per_h",
        "plant_kind",
        "plant_factor",
        "efficiency",
    )

    def __init__(self, *args: Any, place: Property, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label, dimension in (
            ("area_sqft", _("Area"), AREA),
            ("flow_gpm", _("Flow"), FLOW),
            ("precipitation_in_per_h", _("Precipitation rate"), RATE),
        ):
            self.fields[name] = MeasureField(str(label), dimension, place)
        self.order_fields(["what", "on", "why", *self.value_fields])


class ScheduleForm(DatedForm):
    """When a station waters, by central control, a timer or by hand."""

    run_by = forms.ChoiceField(
        label=_("Run by"), choices=[("", _("not known")), *RunBy.choices], required=False
    )
    days = forms.CharField(
        label=_("Days"), max_length=40, required=False, help_text=_("Mon Wed Fri, or every 3.")
    )
    starts = forms.CharField(
        label=_("Starts"), max_length=80, required=False, help_text=_("04:30, several with ;.")
    )
    minutes = forms.FloatField(label=_("Minutes"), min_value=0, max_value=1440)
    notes = forms.CharField(label=_("Notes"), required=False, widget=forms.Textarea(attrs=NOTES))
    value_fields = ("run_by", "days", "starts", "minutes", "notes")
    may_end = True

    def _choices(self, row: object, is_current: bool) -> list[tuple[str, str]]:
        choices = super()._choices(row, is_current)
        return choices[:1] if row is None else choices

    def clean_days(self) -> str:
        """Read days as the files are read."""
        return _read(Days("days"), self.cleaned_data["days"])

    def clean_starts(self) -> str:
        """Read times as the files are read."""
        return _read(Starts("starts"), self.cleaned_data["starts"])


def _read(column: Days | Starts, text: str) -> str:
    if not text.strip():
        return ""
    try:
        return str(column.read(text, Manner(date.min), ""))
    except Unreadable as refusal:
        raise forms.ValidationError(str(refusal)) from None


class ControllerFactsForm(FactsForm):
    """A controller's own facts."""

    name = forms.CharField(label=_("Controller"), max_length=60)
    wiring = forms.ChoiceField(label=_("Wiring"), choices=Wiring.choices)
    output_volts = forms.FloatField(label=_("Output, V"), required=False, min_value=0)
    transformer_va = forms.FloatField(label=_("Transformer, VA"), required=False, min_value=0)
    station_count = forms.IntegerField(
        label=_("Stations it can switch"), required=False, min_value=0, max_value=9999
    )
    notes = forms.CharField(label=_("Notes"), required=False, widget=forms.Textarea(attrs=NOTES))
    value_fields = ("name", "wiring", "output_volts", "transformer_va", "station_count", "notes")

    def __init__(self, *args: Any, controller: Controller, **kwargs: Any) -> None:
        known = {name: getattr(controller, name) for name in self.value_fields}
        super().__init__(*args, **{**kwargs, "initial": known})


class EquipmentForm(DatedForm):
    """What stands in a controller's place, and what it brings with it."""

    label = forms.CharField(
        label=_("What it is"), max_length=120, help_text=_("Make and model, as on its plate.")
    )
    serial = forms.CharField(label=_("Serial number"), max_length=60, required=False)
    output_volts = ControllerFactsForm.base_fields["output_volts"]
    transformer_va = ControllerFactsForm.base_fields["transformer_va"]
    station_count = ControllerFactsForm.base_fields["station_count"]
    notes = forms.CharField(label=_("Notes"), required=False, widget=forms.Textarea(attrs=NOTES))
    value_fields = ("label", "serial", "notes")
    brought_fields = ("output_volts", "transformer_va", "station_count")

    def __init__(self, *args: Any, controller: Controller, **kwargs: Any) -> None:
        known = {name: getattr(controller, name) for name in self.brought_fields}
        super().__init__(*args, **{**kwargs, "initial": known})
        for name in self.brought_fields:
            self.fields[name].help_text = _("As the equipment that was put in has it.")

    def _choices(self, row: object, is_current: bool) -> list[tuple[str, str]]:
        words = {
            "changed": _("Other equipment was put in."),
            "wrong": _("What is recorded was wrong."),
        }
        first = _("This stands here since a day.")
        offered = super()._choices(row, is_current)
        if row is None:
            return [("changed", str(first))]
        return [(key, str(words[key])) for key, _said in offered]

    def brought(self) -> dict[str, object]:
        """Return what the equipment brings with it."""
        return {name: self.cleaned_data[name] for name in self.brought_fields}

"""Forms on climate tables, days on which nothing ran, and valves that stayed open."""

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Any

from django import forms
from django.utils.dates import MONTHS
from django.utils.translation import gettext_lazy as _

from sites.cells.engines.measures import WATER_DEPTH
from sites.kernel.forms.fields import DayField, MeasureField
from sites.models import ClimateRow, Outage, OutageKind, Property
from sites.water.engines.reference_et import Place
from sites.water.services.tables import MonthDepths

ONE_DAY = timedelta(days=1)
NOTES = {"rows": 2}
MOST_WEATHER_BYTES = 1024 * 1024


class OutageForm(forms.Form):
    """Days on which nothing ran; people think in first and last day."""

    kind = forms.ChoiceField(label=_("Why did nothing run?"), choices=OutageKind.choices)
    from_on = DayField(label=_("First day"))
    last_on = DayField(
        label=_("Last day"),
        required=False,
        help_text=_("Empty while it goes on. It ran again on the next day."),
    )
    notes = forms.CharField(label=_("Notes"), required=False, widget=forms.Textarea(attrs=NOTES))

    def __init__(self, *args: Any, outage: Outage | None = None, **kwargs: Any) -> None:
        if outage is not None:
            kwargs["initial"] = {
                "kind": outage.kind,
                "from_on": outage.from_on,
                "last_on": outage.to_on - ONE_DAY if outage.to_on else None,
                "notes": outage.notes,
            }
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, object]:
        """Refuse an end before the beginning beside the field that people see."""
        data: dict[str, Any] = super().clean() or {}
        first, last = data.get("from_on"), data.get("last_on")
        if first and last and last < first:
            self.add_error("last_on", _("The last day lies before the first. Correct one of them."))
        return data

    def values(self) -> dict[str, object]:
        """Return the days as they are kept, half-open."""
        data = self.cleaned_data
        last = data["last_on"]
        return {
            "kind": data["kind"],
            "from_on": data["from_on"],
            "to_on": last + ONE_DAY if last else None,
            "notes": data["notes"],
        }


class StuckOpenForm(forms.Form):
    """One incident."""

    on = DayField(label=_("On which day?"))
    hours = forms.FloatField(
        label=_("For how many hours?"),
        min_value=0.01,
        help_text=_("As good as you know: from when it was seen dry or shut last."),
    )
    notes = forms.CharField(label=_("Notes"), required=False, widget=forms.Textarea(attrs=NOTES))


class ClimateTableForm(forms.Form):
    """A name, a source, and twelve months of evapotranspiration and rain."""

    name = forms.CharField(
        label=_("Name"),
        max_length=60,
        help_text=_("Such as the valley or the weather station. Files name the table by it."),
    )
    source = forms.CharField(
        label=_("Source"),
        max_length=200,
        help_text=_("Where these figures were read, so that others can look them up."),
    )

    def __init__(
        self,
        *args: Any,
        rows: Iterable[ClimateRow],
        units: Property,
        has_name: bool,
        **kwargs: Any,
    ) -> None:
        known = {row.month: row for row in rows}
        first = next(iter(known.values()), None)
        initial: dict[str, object] = {"source": first.source} if first else {}
        for number, row in known.items():
            initial |= {f"eto_{number}": row.eto_in, f"rain_{number}": row.rain_in}
        super().__init__(*args, **{**kwargs, "initial": {**initial, **kwargs.get("initial", {})}})
        if not has_name:
            del self.fields["name"]
        for number in MONTHS:
            for kind, label in (("eto", _("Evapotranspiration")), ("rain", _("Rain"))):
                self.fields[f"{kind}_{number}"] = MeasureField(str(label), WATER_DEPTH, units)

    def months_shown(self) -> list[tuple[str, object, object]]:
        """Return each month with its two fields."""
        return [
            (str(month), self[f"eto_{number}"], self[f"rain_{number}"])
            for number, month in MONTHS.items()
        ]

    def head_fields(self) -> list[object]:
        """Return the fields above the months."""
        return [self[name] for name in ("name", "source") if name in self.fields]

    def months(self) -> dict[int, MonthDepths]:
        """Return the months as the verb takes them; what nobody touched stays unrounded."""
        return {
            number: MonthDepths(self._value(f"eto_{number}"), self._value(f"rain_{number}"))
            for number in MONTHS
        }

    def _value(self, name: str) -> float | None:
        value = self.cleaned_data[name] if name in self.changed_data else self.initial.get(name)
        return None if value is None else float(value)


class WeatherForm(forms.Form):
    """A file of raw weather, and where it was measured."""

    name = forms.CharField(label=_("Name of the table"), max_length=60)
    source = forms.CharField(label=_("Source"), max_length=150)
    file = forms.FileField(
        label=_("File"),
        help_text=_(
            "CSV with date, tmin, tmax (°C); rhmax and rhmin (%) or tdew (°C), rs (MJ/m² a day), "
            "wind (m/s); rain (mm)."
        ),
    )
    latitude = forms.FloatField(label=_("Latitude"), min_value=-66, max_value=66)
    elevation_m = forms.FloatField(label=_("Elevation, m"), min_value=-450, max_value=6000)
    wind_height_m = forms.FloatField(
        label=_("Height of the wind gauge, m"), min_value=0.2, max_value=100, initial=2
    )

    def clean_file(self) -> Any:
        """Refuse what is too large to be daily weather."""
        file = self.cleaned_data["file"]
        if file.size > MOST_WEATHER_BYTES:
            raise forms.ValidationError(_("This file is too large. Split it by years."))
        return file

    def content(self) -> bytes:
        """Return the bytes of the file."""
        content: bytes = self.cleaned_data["file"].read()
        return content

    def place(self) -> Place:
        """Return where it was measured."""
        data = self.cleaned_data
        return Place(data["latitude"], data["elevation_m"], data["wind_height_m"])


class ChooseTableForm(forms.Form):
    """Which shared table holds at a property."""

    name = forms.ChoiceField(label=_("Climate table"), required=False)

    def __init__(self, *args: Any, names: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices: Any = self.fields["name"]
        choices.choices = [("", _("none")), *((name, name) for name in names)]

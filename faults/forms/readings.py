"""Forms of readings: one, a whole controller's, a walk, a distance, a depth."""

import re
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.models import ReadingKind, WalkResult
from faults.services.distances import Method
from sites.models import Station

OPEN_WORDS = {"ol", "o.l", "o.l.", "open", "inf", "∞", "o/l"}
# What an ohmmeter shows as OL is written down as more than any wire reads.
OPEN_OHMS = 9_999_999.0


def parse_value(words: str) -> float:
    """Return the number that a meter shows: "26.4", "26,4", "1.2k", or "OL" for open.

    Raises:
        ValueError: it is no number of 0 or more.
    """
    text = words.strip().lower().replace(",", ".").replace("ω", "").strip()
    if text in OPEN_WORDS:
        return OPEN_OHMS
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(k|m)?", text)
    if not found:
        raise ValueError(words)
    return float(found[1]) * {"k": 1e3, "m": 1e6}.get(found[2] or "", 1.0)


class MeterField(forms.CharField):
    """A value as the meter shows it."""

    def to_python(self, value: Any) -> Any:
        """Return a number, or None for nothing typed."""
        words = super().to_python(value)
        if not words:
            return None
        try:
            return parse_value(words)
        except ValueError:
            raise forms.ValidationError(
                _("“%s” is not what a meter shows. Type a number, or OL for open.") % words
            ) from None


class ReadingForm(forms.Form):
    """One reading: what was measured is a tap, the value comes from the number pad."""

    kind = forms.ChoiceField(
        label=gettext_lazy("Measured"),
        choices=[choice for choice in ReadingKind.choices if choice[0] != ReadingKind.DISTANCE],
        initial=ReadingKind.OHMS,
        widget=forms.RadioSelect,
    )
    value = MeterField(
        label=gettext_lazy("The meter shows"),
        help_text=gettext_lazy("OL for open; 1.2k for 1,200."),
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    taken_on = forms.DateField(
        label=gettext_lazy("Day"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    is_loaded = forms.BooleanField(label=gettext_lazy("With the valve running"), required=False)
    is_new_coil = forms.BooleanField(
        label=gettext_lazy("A new coil since the last reading"), required=False
    )
    taken_by = forms.CharField(label=gettext_lazy("By"), max_length=60, required=False)


class VoidForm(forms.Form):
    """Why a reading is taken out."""

    why = forms.CharField(label=gettext_lazy("Why was it wrong?"), max_length=200)


class CheckUpForm(forms.Form):
    """The ohms, and where measured the insulation, of all stations of a controller."""

    taken_on = forms.DateField(
        label=gettext_lazy("Day"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    taken_by = forms.CharField(label=gettext_lazy("By"), max_length=60, required=False)

    def __init__(self, *args: Any, stations: Sequence[Station], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stations = stations
        for station in stations:
            for kind in (ReadingKind.OHMS, ReadingKind.INSULATION):
                self.fields[f"{kind}_{station.pk}"] = MeterField(
                    required=False,
                    label=f"{station.number} {ReadingKind(kind).label}",
                    widget=forms.TextInput(
                        attrs={"inputmode": "decimal", "autocomplete": "off", "size": 7}
                    ),
                )

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

    seen_on = forms.DateField(
        label=gettext_lazy("Day"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

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


class DistanceForm(forms.Form):
    """What a distance method asks for, and the wire's length where no route is registered."""

    length_ft = forms.FloatField(label=gettext_lazy("Run, ft"), min_value=1)

    def __init__(self, *args: Any, method: Method, length_ft: float | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["length_ft"].initial = round(length_ft, 1) if length_ft else None
        for asked in method.asks:
            self.fields[asked.name] = forms.FloatField(
                label=f"{asked.label}, {asked.unit}",
                help_text=asked.help,
                min_value=0,
                widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
            )


class OffsetsField(forms.CharField):
    """Several offsets in one field: "1.45 1.55"."""

    def to_python(self, value: Any) -> Any:
        """Return a list of numbers."""
        words = (super().to_python(value) or "").replace(";", " ").replace(",", ".").split()
        try:
            return [float(word) for word in words]
        except ValueError:
            raise forms.ValidationError(
                _("Type the offsets in feet, with a space between them: 1.45 1.55")
            ) from None


class DepthForm(forms.Form):
    """Offsets to both sides, and what was measured to."""

    left_ft = OffsetsField(label=gettext_lazy("Offsets to the left, ft"))
    right_ft = OffsetsField(label=gettext_lazy("Offsets to the right, ft"))
    antenna_height_ft = forms.FloatField(
        label=gettext_lazy("Height of the antenna above the ground, ft"),
        initial=0,
        min_value=0,
        help_text=gettext_lazy("0 when you measured to the tip on the ground."),
    )

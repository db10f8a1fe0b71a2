"""Units of lengths on a property's pages, and forms of depth; what they give is in feet."""

from math import inf
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from faults.readings.engines.depth import Depth, depth_from_offsets, depth_from_two_heights
from sites.cells.engines.units import FT_PER_M
from sites.models import Units


def unit_of(units: str) -> str:
    """Return the unit of lengths on a property's pages."""
    return "m" if units == Units.METRIC else "ft"


def feet_per_unit(units: str) -> float:
    """Return how many feet one such unit is."""
    return float(FT_PER_M) if units == Units.METRIC else 1.0


def small_unit_of(units: str) -> str:
    """Return the unit of depths on a property's pages."""
    return "cm" if units == Units.METRIC else "in"


def feet_per_small_unit(units: str) -> float:
    """Return how many feet one such unit is."""
    return float(FT_PER_M) / 100 if units == Units.METRIC else 1 / 12


def number_field(label: object, unit: str, **given: Any) -> forms.FloatField:
    """Return a field for a number from 0 on, its unit beside its name."""
    return forms.FloatField(
        label=f"{label}, {unit}",
        min_value=0,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
        **given,
    )


class OffsetsField(forms.CharField):
    """Several offsets in one field: "17.5 18.5"."""

    def to_python(self, value: object) -> Any:
        """Return a list of numbers."""
        words = (super().to_python(value) or "").replace(";", " ").replace(",", ".").split()
        try:
            return [float(word) for word in words]
        except ValueError:
            raise forms.ValidationError(
                _("Type the offsets as numbers, with a space between them: 17.5 18.5")
            ) from None


class DepthForm(forms.Form):
    """Offsets to both sides, and what was measured to."""

    def __init__(self, *args: Any, units: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units, unit = units, small_unit_of(units)
        help_text = _("From the mark on the ground. Measured twice: type both, as 17.5 18.5")
        self.fields["left"] = OffsetsField(
            label=_("Offsets to the left, %s") % unit, help_text=help_text
        )
        self.fields["right"] = OffsetsField(
            label=_("Offsets to the right, %s") % unit, help_text=help_text
        )
        self.fields["antenna_height"] = number_field(
            _("Height of the antenna above the ground"),
            unit,
            initial=0,
            help_text=_("0 when you measured to the tip on the ground. It is taken off once."),
        )

    def clean(self) -> dict[str, object]:
        """Turn inches or centimetres into feet."""
        cleaned = super().clean() or {}
        factor = feet_per_small_unit(self.units)
        for name in ("left", "right"):
            if name in cleaned:
                cleaned[name] = [each * factor for each in cleaned[name]]
        if "antenna_height" in cleaned:
            cleaned["antenna_height"] *= factor
        return cleaned

    def depth(self) -> Depth:
        """Return the depth by what was typed; raises UnableToTellDepth."""
        typed = self.cleaned_data
        return depth_from_offsets(
            typed["left"], typed["right"], antenna_height_ft=typed["antenna_height"]
        )


class TwoHeightsForm(forms.Form):
    """Two readings straight above the mark, and how high the receiver was held."""

    scale: Any = forms.ChoiceField(
        label=_lazy("What does the receiver show?"),
        choices=[
            ("plain", _lazy("a plain number: twice the signal, twice the number")),
            ("dB", _lazy("decibels (dB)")),
        ],
        initial="plain",
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, units: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units, unit = units, small_unit_of(units)
        asked = (
            ("lower", _("Lower height"), _("Reading at the lower height")),
            ("upper", _("Upper height"), _("Reading at the upper height")),
        )
        for name, label, reading in asked:
            self.fields[f"{name}_height"] = number_field(
                label, unit, help_text=_("From the ground to the middle of the antenna.")
            )
            self.fields[f"{name}_reading"] = forms.FloatField(
                label=reading,
                widget=forms.NumberInput(attrs={"step": "any"}),
                help_text=_("Leave the gain as it is between the two."),
            )

    def clean(self) -> dict[str, object]:
        """Turn heights into feet; refuse readings of nothing and heights in the wrong order."""
        cleaned = super().clean() or {}
        for name in {"lower_height", "upper_height"} & cleaned.keys():
            cleaned[name] *= feet_per_small_unit(self.units)
        if cleaned.get("upper_height", inf) <= cleaned.get("lower_height", 0):
            self.add_error("upper_height", _("The upper height must be the larger one."))
        for name in ("lower_reading", "upper_reading"):
            if cleaned.get("scale") == "plain" and cleaned.get(name, 1) <= 0:
                self.add_error(name, _("Type a value above 0."))
        return cleaned

    def depth(self) -> Depth:
        """Return the depth by what was typed; raises UnableToTellDepth."""
        typed = self.cleaned_data
        low, high = typed["lower_reading"], typed["upper_reading"]
        return depth_from_two_heights(
            apart_ft=typed["upper_height"] - typed["lower_height"],
            # More decibels than a float can hold as a ratio say no more than 6000 do.
            ratio=10 ** min((low - high) / 20, 300) if typed["scale"] == "dB" else low / high,
            lower_height_ft=typed["lower_height"],
        )

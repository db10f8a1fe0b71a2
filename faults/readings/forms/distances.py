"""Forms of distance and depth, in the property's units; what they give is in feet."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _

from faults.readings.services.distance_methods import Asked, Method
from sites.cells.engines.units import FT_PER_M
from sites.models import Units
from sites.wires.services.expected import GROUND_C


def unit_of(units: str) -> str:
    """Return the unit of lengths on a property's pages."""
    return "m" if units == Units.METRIC else "ft"


def feet_per_unit(units: str) -> float:
    """Return how many feet one such unit is."""
    return float(FT_PER_M) if units == Units.METRIC else 1.0


class DistanceForm(forms.Form):
    """What a distance method asks for, and the wire's length where no route is registered."""

    def __init__(
        self, *args: Any, method: Method, length_ft: float | None, units: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.method, self.units = method, units
        self.fields["length"] = _number(_("Length of this wire, one way"), unit_of(units))
        if length_ft:
            self.fields["length"].initial = round(length_ft / feet_per_unit(units), 1)
        if method.by_ohms:
            self.fields["ground"] = _warmth(units)
        for asked in method.asks:
            unit = unit_of(units) if asked.is_length else asked.unit
            self.fields[asked.name] = _number(asked.label, unit, help_text=asked.help)

    def clean(self) -> dict[str, Any]:
        """Refuse what cannot be 0, and turn lengths into feet and warmth into Celsius."""
        cleaned = super().clean() or {}
        above_0 = [each for each in (Asked("length", ""), *self.method.asks) if not each.may_be_0]
        for each in above_0:
            if cleaned.get(each.name) == 0:
                self.add_error(each.name, _("Type a value above 0."))
        for name in ("length", *(each.name for each in self.method.asks if each.is_length)):
            if name in cleaned:
                cleaned[name] *= feet_per_unit(self.units)
        ground = cleaned.get("ground")
        if ground is not None and self.units != Units.METRIC:
            cleaned["ground"] = (ground - 32) / 1.8
        return cleaned

    def ground_c(self) -> float:
        """Return how warm the ground is."""
        ground = self.cleaned_data.get("ground")
        return GROUND_C if ground is None else float(ground)


def _number(label: Any, unit: str, **given: Any) -> forms.FloatField:
    return forms.FloatField(
        label=f"{label}, {unit}",
        min_value=0,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
        **given,
    )


def _warmth(units: str) -> forms.FloatField:
    """Copper's ohms follow its warmth: 10 degrees Celsius more are 4 % more."""
    unit, initial, least, most = (
        ("°C", 20, -20, 60) if units == Units.METRIC else ("°F", 68, 0, 140)
    )
    return forms.FloatField(
        label=_("Warmth of the ground, %s") % unit,
        initial=initial,
        min_value=least,
        max_value=most,
        required=False,
        help_text=_("At the wire's depth. Ohms grow with it; a guess will do."),
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )


class OffsetsField(forms.CharField):
    """Several offsets in one field: "17.5 18.5"."""

    def to_python(self, value: Any) -> Any:
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
        self.units, unit = units, "cm" if units == Units.METRIC else "in"
        help_text = _("From the mark on the ground. Measured twice: type both, as 17.5 18.5")
        self.fields["left"] = OffsetsField(
            label=_("Offsets to the left, %s") % unit, help_text=help_text
        )
        self.fields["right"] = OffsetsField(
            label=_("Offsets to the right, %s") % unit, help_text=help_text
        )
        self.fields["antenna_height"] = _number(
            _("Height of the antenna above the ground"),
            unit,
            initial=0,
            help_text=_("0 when you measured to the tip on the ground. It is taken off once."),
        )

    def clean(self) -> dict[str, Any]:
        """Turn inches or centimetres into feet."""
        cleaned = super().clean() or {}
        factor = float(FT_PER_M) / 100 if self.units == Units.METRIC else 1 / 12
        for name in ("left", "right"):
            if name in cleaned:
                cleaned[name] = [each * factor for each in cleaned[name]]
        if "antenna_height" in cleaned:
            cleaned["antenna_height"] *= factor
        return cleaned

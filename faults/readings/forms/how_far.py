"""The form of a distance method, in the property's units; what it gives is in feet and Celsius."""

from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext as _

from faults.readings.forms.distances import feet_per_unit, number_field, unit_of
from faults.readings.services.distance_methods import Asked, Method
from faults.readings.services.distances import Way
from faults.readings.services.wire_of_station import WireOfStation
from sites.models import Units
from sites.wires.engines.sizes import size_from_words
from sites.wires.services.expected import GROUND_C

VALVE = "valve"
SIZES = ("hot_size", "common_size", "second_size")
# What is asked for only where the wire is not as registered, beside the values of the method.
OF_THE_WIRE = ("hot_size", "changes_at", "second_size", "common_size", "return_length")


class DistanceForm(forms.Form):
    """What a distance method asks for, and the wire where it is not as registered."""

    def __init__(self, *args: Any, method: Method, way: Way, units: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.method, self.way, self.units = method, way, units
        unit = unit_of(units)
        self.fields["length"] = number_field(
            _("Length of this wire, one way"), unit, required=method.needs_length
        )
        if way.length_ft:
            self.fields["length"].initial = round(way.length_ft / feet_per_unit(units), 1)
        if not method.needs_length:
            self.fields["length"].help_text = _("Leave it empty where nobody knows it.")
        if not method.from_both_ends:
            self.fields["end"] = _end()
        for asked in method.asks:
            self.fields[asked.name] = number_field(
                asked.label,
                unit if asked.is_length else asked.unit,
                help_text=asked.help,
                required=not asked.may_be_empty,
            )
        if method.by_ohms:
            self._ask_of_the_wire(unit)

    def _ask_of_the_wire(self, unit: str) -> None:
        self.fields["ground"] = _warmth(self.units)
        self.fields["hot_size"] = _size(_("Size of this wire"), self.way.hot_words)
        self.fields["changes_at"] = number_field(
            _("Its size changes this far from the controller"), unit, required=False
        )
        self.fields["second_size"] = _size(_("Its size from there on"))
        label = _("Size of the sound wire, if it is not the common")
        if self.method.is_bridge:
            self.fields["return_length"] = number_field(
                _("Length of the sound wire, if not the same"), unit, required=False
            )
        else:
            label = _("Size of the common")
        self.fields["common_size"] = _size(label, self.way.common_words)

    def clean(self) -> dict[str, object]:
        """Refuse what cannot be 0, and turn lengths into feet and warmth into Celsius."""
        cleaned = super().clean() or {}
        not_0 = [
            Asked("length", ""),
            *self.method.asks,
            *map(_length, ("changes_at", "return_length")),
        ]
        for each in not_0:
            if not each.may_be_0 and cleaned.get(each.name) == 0:
                self.add_error(each.name, _("Type a value above 0."))
        in_units = [each.name for each in not_0 if each.is_length or each.name == "length"]
        for name in in_units:
            if cleaned.get(name) is not None:
                cleaned[name] *= feet_per_unit(self.units)
        for name in SIZES:
            if cleaned.get(name) and size_from_words(cleaned[name]) is None:
                self.add_error(
                    name, _("This is no wire size. Write for example 14 AWG or 2.5 mm2.")
                )
        self._refuse_half_a_change(cleaned)
        ground = cleaned.get("ground")
        if ground is not None and self.units != Units.METRIC:
            cleaned["ground"] = (ground - 32) / 1.8
        return cleaned

    def _refuse_half_a_change(self, cleaned: dict[str, object]) -> None:
        at, size = cleaned.get("changes_at"), cleaned.get("second_size")
        if size and at is None and "changes_at" not in self.errors:
            self.add_error("changes_at", _("Say where this size begins."))
        if at is not None and not size and "second_size" not in self.errors:
            self.add_error("second_size", _("Say in which size the wire goes on there."))

    def wire(self) -> WireOfStation:
        """Return the wire that was measured."""
        typed = self.cleaned_data
        ground = typed.get("ground")
        return WireOfStation(
            typed.get("length"),
            typed.get("hot_size") or self.way.hot_words,
            typed.get("common_size") or self.way.common_words,
            GROUND_C if ground is None else float(ground),
            changes_at_ft=typed.get("changes_at"),
            second_words=typed.get("second_size", ""),
            return_ft=typed.get("return_length"),
            is_from_valve=typed.get("end") == VALVE,
        )

    def asked_fields(self) -> list[BoundField]:
        """Return the fields of the method itself."""
        return [field for field in self if field.name not in OF_THE_WIRE]

    def wire_fields(self) -> list[BoundField]:
        """Return the fields of the wire, for when it is not as registered."""
        return [self[name] for name in OF_THE_WIRE if name in self.fields]

    def is_wire_changed(self) -> bool:
        """Return whether the wire's own fields were changed, or are wrong: then they are shown."""
        changed = self.changed_data if self.is_bound else []
        return any(name in self.errors or name in changed for name in OF_THE_WIRE)


def _length(name: str) -> Asked:
    return Asked(name, "", is_length=True)


def _end() -> forms.ChoiceField:
    return forms.ChoiceField(
        label=_("Measured"),
        choices=[("", _("at the controller")), (VALVE, _("at the valve"))],
        required=False,
        initial="",
        widget=forms.RadioSelect,
    )


def _size(label: Any, registered: str | None = None) -> forms.CharField:
    """A wire size; left empty it is the registered one."""
    help_text = ""
    if registered is not None:
        help_text = _("Registered: %s") % registered if registered else _("Not registered.")
    return forms.CharField(label=label, required=False, max_length=20, help_text=help_text)


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

"""Fields and frames that the forms of verbs on faults share."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext_lazy as _

from sites.cells.engines.measures import DEPTH, LENGTH
from sites.cells.engines.units import FT_PER_M, IN_PER_CM
from sites.kernel.forms.fields import DayField
from sites.models import Property, Units

if TYPE_CHECKING:
    # Only the stubs know the type of a translation that waits for its language.
    from django.utils.functional import _StrPromise

    Words = str | _StrPromise
else:
    Words = str

__all__ = ["DayField"]

Group = tuple[Words, list[str]]


class MeasureField(forms.FloatField):
    """A length or depth in the property's units; clean data are in the stored unit."""

    def __init__(self, words: Words, unit: str, stored_per_unit: float, **kwargs: Any) -> None:
        self.words, self.unit, self.stored_per_unit = words, unit, stored_per_unit
        super().__init__(label=f"{words}, {unit}", **kwargs)

    def clean(self, value: Any) -> float | None:
        """Return the value in the stored unit."""
        number: float | None = super().clean(value)
        return None if number is None else number * self.stored_per_unit

    def prepare_value(self, value: Any) -> Any:
        """Write a stored value in the property's units; what was typed stands as it is."""
        if isinstance(value, int | float):
            return f"{value / self.stored_per_unit:.2f}".rstrip("0").rstrip(".")
        return value


def length_field(place: Property, label: Words, **kwargs: Any) -> MeasureField:
    """Return a field for feet, or metres where the property shows metric."""
    unit = ("m", float(FT_PER_M)) if place.units == Units.METRIC else ("ft", 1.0)
    limits = {"required": False, "min_value": 0, "max_value": LENGTH.most}
    return MeasureField(label, *unit, **{**limits, **kwargs})


def depth_field(place: Property, label: Words, **kwargs: Any) -> MeasureField:
    """Return a field for inches, or centimetres where the property shows metric."""
    unit = ("cm", float(IN_PER_CM)) if place.units == Units.METRIC else ("in", 1.0)
    limits = {"required": False, "min_value": 0, "max_value": DEPTH.most}
    return MeasureField(label, *unit, **{**limits, **kwargs})


def why_field(*, required: bool = False, label: Words = "", **kwargs: Any) -> forms.CharField:
    """Return a field for a reason in a few words."""
    return forms.CharField(
        label=label or (_("Why") if required else _("Remarks")),
        max_length=150,
        required=required,
        **kwargs,
    )


class GroupedForm(forms.Form):
    """A form whose fields stand in named groups; a group may start folded."""

    folded: tuple[Words, ...] = ()

    def grouping(self) -> list[Group]:
        """Return the groups with the names of their fields."""
        return [("", list(self.fields))]

    def groups(self) -> Iterator[tuple[Words, list[BoundField], bool]]:
        """Yield each group that has fields, and whether it is folded. Errors open a group."""
        for heading, names in self.grouping():
            fields = [self[name] for name in names if name in self.fields]
            has_errors = any(field.errors for field in fields)
            if fields:
                yield heading, fields, heading in self.folded and not has_errors

"""Fields and frames that the forms of verbs on faults share."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext_lazy as _

from sites.cells.engines.measures import DEPTH, LENGTH
from sites.kernel.forms.fields import DayField, MeasureField
from sites.models import Property

if TYPE_CHECKING:
    # Only the stubs know the type of a translation that waits for its language.
    from django.utils.functional import _StrPromise

    Words = str | _StrPromise
else:
    Words = str

__all__ = ["DayField"]

Group = tuple[Words, list[str]]


def length_field(place: Property, label: Words, **kwargs: Any) -> MeasureField:
    """Return a field for feet, or metres where the property shows metric."""
    return MeasureField(str(label), LENGTH, place, **kwargs)


def depth_field(place: Property, label: Words, **kwargs: Any) -> MeasureField:
    """Return a field for inches, or centimetres where the property shows metric."""
    return MeasureField(str(label), DEPTH, place, **kwargs)


def why_field(*, required: bool = False, label: Words = "", **kwargs: Any) -> forms.CharField:
    """Return a field for a reason in a few words."""
    return forms.CharField(
        label=label or (_("Why") if required else _("Remarks")),
        max_length=150,
        required=required,
        **kwargs,
    )


class TimeField(forms.TimeField):
    """A time of day, chosen in the browser's own clock and sent as 07:30."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
        super().__init__(**{"widget": widget, **kwargs})


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

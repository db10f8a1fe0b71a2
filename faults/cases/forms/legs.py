"""Forms of the verbs on legs along which breaks lie: correct a length, split, join."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from sites.cells.engines.measures import LENGTH
from sites.kernel.forms.fields import DayField, MeasureField
from sites.models import Leg, LengthSource, Point, PointKind

FIRST, SECOND = "first", "second"


class CorrectLengthForm(forms.Form):
    """The right length, how it is known, and what was wrong."""

    length_source = forms.ChoiceField(label=_("How is it known?"), choices=LengthSource.choices)
    why = forms.CharField(
        label=_("What was wrong?"),
        max_length=80,
        help_text=_("In a few words; kept in the history beside the old length."),
    )

    def __init__(self, *args: Any, leg: Leg, **rest: Any) -> None:
        known = {"length": leg.length_ft, "length_source": leg.length_source}
        super().__init__(*args, **{**rest, "initial": known})
        self.fields["length"] = MeasureField(str(_("Length")), LENGTH, leg.property, required=True)
        self.order_fields(["length", "length_source", "why"])


class SplitForm(forms.Form):
    """The point that was found inside a leg, and where."""

    new_name = forms.CharField(
        label=_("Name of the point that was found"), max_length=60, required=False
    )
    new_kind = forms.ChoiceField(label=_("Its kind"), choices=PointKind.choices)
    point: Any = forms.ModelChoiceField(
        label=_("Or a point that is registered already"),
        queryset=None,
        required=False,
        empty_label=_("none"),
    )
    measured_from = forms.ChoiceField(label=_("Measured from"), widget=forms.RadioSelect)
    on = DayField(label=_("Found on"))

    def __init__(self, *args: Any, leg: Leg, points: QuerySet[Point], **rest: Any) -> None:
        super().__init__(*args, **rest)
        chosen: Any = self.fields["point"]
        chosen.queryset = points
        ends: Any = self.fields["measured_from"]
        ends.choices = [(FIRST, leg.from_point.name), (SECOND, leg.to_point.name)]
        ends.initial = FIRST
        self.fields["new_kind"].initial = PointKind.SPLICE_BOX
        self.fields["feet"] = MeasureField(str(_("Distance")), LENGTH, leg.property, required=True)
        self.order_fields(["new_name", "new_kind", "point", "measured_from", "feet", "on"])

    def clean(self) -> dict[str, object]:
        """One point: a new one, or one that is known."""
        data = super().clean() or {}
        if bool(data.get("new_name")) == bool(data.get("point")) and "point" not in self.errors:
            self.add_error("new_name", _("Name the new point, or choose one: not both."))
        return data

"""Forms of the verbs on points and legs."""

from collections.abc import Sequence
from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from sites.cells.engines.measures import DEPTH, LENGTH
from sites.kernel.forms.fields import DayField, FactsForm, MeasureField
from sites.models import AtPoint, Cover, LengthSource, Point, PointKind, Property, Renewal, Wire
from sites.models import RenewalKind as Kind
from sites.register.forms.lists import LegFilter, PointFilter, WireFilter

CONDUIT = [("", _("not known")), ("yes", _("yes")), ("no", _("no"))]
NOTES = {"rows": 3}


class DayAndWhyForm(forms.Form):
    """The day on which something was done and, if there is something to say, why."""

    on = DayField(label=_("On which day?"))
    why = forms.CharField(label=_("Why?"), max_length=80, required=False)


class MayWhyForm(forms.Form):
    """A reason, if there is something to say."""

    why = forms.CharField(label=_("Why?"), max_length=80, required=False)


class PointForm(FactsForm):
    """What is known of a point."""

    name = forms.CharField(label=_("Name"), max_length=60)
    kind = forms.ChoiceField(label=_("Kind"), choices=PointKind.choices)
    lid = forms.CharField(
        label=_("Lid"), max_length=60, required=False, help_text=_("Such as: green, 10 in round.")
    )
    tie_1 = forms.CharField(
        label=_("Tie 1"),
        max_length=120,
        required=False,
        help_text=_("Feet from a fixed thing, such as: 12 ft east of the lamp post."),
    )
    tie_2 = forms.CharField(label=_("Tie 2"), max_length=120, required=False)
    notes = forms.CharField(label=_("Notes"), required=False, widget=forms.Textarea(attrs=NOTES))
    value_fields: Sequence[str] = ("name", "kind", "lid", "depth_in", "tie_1", "tie_2", "notes")

    def __init__(self, *args: Any, place: Property, row: Point | None = None, **rest: Any) -> None:
        known = {name: getattr(row, name) for name in self.value_fields} if row else {}
        super().__init__(*args, **{**rest, "initial": known})
        self.fields["depth_in"] = MeasureField(str(_("Depth of the lid")), DEPTH, place)
        self.order_fields(self.value_fields)

    def clean_name(self) -> str:
        """Fold stray spaces, so that one point does not become two."""
        return " ".join(str(self.cleaned_data["name"]).split())


class PositionForm(FactsForm):
    """Where a point stands on the globe."""

    latitude = forms.FloatField(
        label=_("Latitude"), required=False, help_text=_("Degrees, such as 32.95017.")
    )
    longitude = forms.FloatField(
        label=_("Longitude"), required=False, help_text=_("Degrees, below 0 in the Americas.")
    )
    value_fields = ("latitude", "longitude", "accuracy_ft")

    def __init__(self, *args: Any, row: Point, **rest: Any) -> None:
        known = {name: getattr(row, name) for name in self.value_fields}
        super().__init__(*args, **{**rest, "initial": known})
        self.fields["accuracy_ft"] = MeasureField(
            str(_("Accuracy")), LENGTH, row.property, help_text=_("As the phone or receiver says.")
        )
        self.fields["why"] = forms.CharField(label=_("Why?"), max_length=80, required=False)


class NewPointForm(PointForm):
    """A new point, with its position if it is known."""

    latitude = forms.FloatField(label=_("Latitude"), required=False)
    longitude = forms.FloatField(label=_("Longitude"), required=False)
    value_fields = (*PointForm.value_fields[:-1], "latitude", "longitude", "accuracy_ft", "notes")

    def __init__(self, *args: Any, place: Property, **rest: Any) -> None:
        super().__init__(*args, place=place, **rest)
        self.fields["accuracy_ft"] = MeasureField(str(_("Accuracy")), LENGTH, place)
        self.order_fields(self.value_fields)


class ChangePointForm(PointForm):
    """A known point, and why it is changed."""

    why = forms.CharField(label=_("Why?"), max_length=80, required=False)


class LegForm(FactsForm):
    """What is known of a leg beside its length."""

    label = forms.CharField(label=_("Label"), max_length=60, required=False)
    cover = forms.ChoiceField(
        label=_("Cover"), choices=[("", _("not known")), *Cover.choices], required=False
    )
    in_conduit = forms.TypedChoiceField(
        label=_("In conduit"),
        choices=CONDUIT,
        required=False,
        coerce=lambda value: value == "yes",
        empty_value=None,
    )
    notes = forms.CharField(label=_("Notes"), required=False, widget=forms.Textarea(attrs=NOTES))
    value_fields: Sequence[str] = ("label", "depth_in", "cover", "in_conduit", "notes")

    def __init__(self, *args: Any, place: Property, row: object = None, **rest: Any) -> None:
        known = {name: getattr(row, name) for name in self.value_fields} if row else {}
        super().__init__(*args, **{**rest, "initial": known})
        word = {True: "yes", False: "no", None: ""}[known.get("in_conduit")]
        self.fields["in_conduit"].initial = word
        self.initial.pop("in_conduit", None)
        self.fields["depth_in"] = MeasureField(str(_("Depth")), DEPTH, place)
        self.order_fields(self.value_fields)


class ChangeLegForm(LegForm):
    """A known leg, and why it is changed."""

    why = forms.CharField(label=_("Why?"), max_length=80, required=False)


class NewLegForm(LegForm):
    """A new leg: its two points and its length with how it is known."""

    start: Any = forms.ModelChoiceField(label=_("From point"), queryset=None)
    end: Any = forms.ModelChoiceField(label=_("To point"), queryset=None)
    length_source = forms.ChoiceField(label=_("How is the length known?"))
    observed_from = DayField(
        label=_("Known since"),
        required=False,
        help_text=_("From which day on would a break here have been written down?"),
    )
    value_fields = (
        "label",
        "length_ft",
        "length_source",
        "depth_in",
        "cover",
        "in_conduit",
        "observed_from",
        "notes",
    )

    def __init__(
        self, *args: Any, place: Property, points: QuerySet[Point], start: Point | None, **rest: Any
    ) -> None:
        super().__init__(*args, place=place, **rest)
        for name in ("start", "end"):
            field: Any = self.fields[name]
            field.queryset = points
        self.fields["start"].initial = start
        source: Any = self.fields["length_source"]
        source.choices = LengthSource.choices
        self.fields["length_ft"] = MeasureField(str(_("Length")), LENGTH, place, required=True)
        self.order_fields(["start", "end", *self.value_fields])


class RenewForm(forms.Form):
    """What was renewed on a leg, and when."""

    kind = forms.ChoiceField(label=_("What was done?"), choices=Kind.choices)
    on = DayField(label=_("On which day?"))
    notes = forms.CharField(label=_("Notes"), required=False, widget=forms.Textarea(attrs=NOTES))

    def __init__(self, *args: Any, place: Property, **rest: Any) -> None:
        super().__init__(*args, **rest)
        self.fields["depth_in"] = MeasureField(
            str(_("New depth")), DEPTH, place, help_text=_("If it lies at another depth now.")
        )
        self.order_fields(["kind", "on", "depth_in", "notes"])


class TakeBackRenewalForm(forms.Form):
    """Which renewal was a mistake, and why."""

    renewal: Any = forms.ChoiceField(label=_("Which one?"), widget=forms.RadioSelect)
    why = forms.CharField(label=_("Why was it a mistake?"), max_length=80)

    def __init__(self, *args: Any, renewals: Sequence[Renewal], **rest: Any) -> None:
        super().__init__(*args, **rest)
        self.by_key = {str(each.pk): each for each in renewals}
        self.fields["renewal"].choices = [  # type: ignore[attr-defined]
            (key, f"{each.get_kind_display()}, {each.on}") for key, each in self.by_key.items()
        ]

    def clean_renewal(self) -> Renewal:
        """Return the row that was chosen."""
        return self.by_key[self.cleaned_data["renewal"]]


class AtPointForm(forms.Form):
    """What each wire does at one point."""

    def __init__(self, *args: Any, wires: Sequence[tuple[Wire, str]], **rest: Any) -> None:
        super().__init__(*args, **rest)
        self.wires = {f"w{wire.pk}": wire for wire, _how in wires}
        for wire, how in wires:
            label = f"{wire.name}, {wire.get_kind_display()}"
            self.fields[f"w{wire.pk}"] = forms.ChoiceField(
                label=f"{label}, {wire.colour}" if wire.colour else label,
                choices=AtPoint.choices,
                initial=how,
            )
        self.fields["why"] = forms.CharField(label=_("Remarks"), max_length=80, required=False)

    def hows(self) -> dict[Wire, str]:
        """Return what was said of those wires of which something new was said."""
        return {
            wire: self.cleaned_data[name]
            for name, wire in self.wires.items()
            if name in self.changed_data
        }


IN_GROUND, RETIRED = "yes", "no"


def _standing() -> django_filters.ChoiceFilter:
    return django_filters.ChoiceFilter(
        label=_("Standing"),
        choices=[(RETIRED, _("retired")), ("all", _("all"))],
        empty_label=_("in the ground"),
        method="with_standing",
    )


class _Standing:
    """Leave retired rows out unless the filter includes them."""

    def with_standing(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        """Keep retired rows, or all."""
        return rows.filter(retired_on__isnull=False) if value == RETIRED else rows

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        """Leave retired rows out where nothing was chosen."""
        rows: QuerySet[Any] = super().filter_queryset(queryset)  # type: ignore[misc]
        chosen = self.form.cleaned_data.get("standing")  # type: ignore[attr-defined]
        return rows if chosen else rows.filter(retired_on__isnull=True)


class StandingPointFilter(_Standing, PointFilter):
    """Points by text, kind and whether they are in use."""

    standing = _standing()


class StandingLegFilter(_Standing, LegFilter):
    """Legs by text, cover and whether they are in the ground."""

    standing = _standing()


class StandingWireFilter(_Standing, WireFilter):
    """Wires by text, kind and whether they are in the ground."""

    standing = _standing()

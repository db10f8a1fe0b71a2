"""The form of a break: where, what, how it was mended, and for whom to charge it back."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import (
    DayField,
    Group,
    GroupedForm,
    Words,
    depth_field,
    length_field,
    why_field,
)
from faults.cases.queries import legs_to_choose, wires_of_stations
from faults.cases.services.break_rules import PLAIN, BreakFacts
from faults.models import Break, Cause, Damage, Fault, FaultStation, Shows
from sites.models import Leg, Wire
from sites.register.forms.photos import READABLE
from sites.templatetags.register import feet
from sites.wires.services.told import by_number

MENDED = _("If it is mended already")
CHARGED = _("For charging it back")


class BreakForm(GroupedForm):
    """A found place of damage. Which ends and wires are offered depends on the leg.

    The wires of the fault's own stations come first and are ticked.

    Args:
        leg_ref: the leg whose ends and wires are offered, when nothing was sent yet.
    """

    folded: tuple[Words, ...] = (MENDED, CHARGED)

    leg = forms.ChoiceField(
        label=_("Leg"),
        required=False,
        help_text=_("The legs on the way of the fault's stations come first."),
    )
    from_point = forms.ChoiceField(
        label=_("Counted from"), required=False, widget=forms.RadioSelect
    )
    wires = forms.MultipleChoiceField(
        label=_("Wires"), required=False, widget=forms.CheckboxSelectMultiple
    )
    found_on = DayField(label=_("Found"), required=False)
    cause = forms.ChoiceField(label=_("Cause"), choices=Cause.choices, initial=Cause.NOT_KNOWN)
    damage = forms.ChoiceField(
        label=_("Cut or nick"),
        choices=[*Damage.choices, ("", _("not known"))],
        required=False,
        widget=forms.RadioSelect,
        initial="",
    )
    mended_on = DayField(label=_("Mended"), required=False)
    how_mended = forms.CharField(label=_("How mended"), max_length=200, required=False)
    warranty_until = DayField(
        label=_("Warranty until"),
        required=False,
        help_text=_("Empty: the days agreed for this property."),
    )
    liable_party = forms.CharField(label=_("Liable party"), max_length=120, required=False)
    notice_number = forms.CharField(label=_("Notice number"), max_length=60, required=False)
    who_was_on_site = forms.CharField(
        label=_("Who was on site for the client"), max_length=200, required=False
    )
    latitude = forms.FloatField(label=_("Latitude"), required=False, min_value=-90, max_value=90)
    longitude = forms.FloatField(
        label=_("Longitude"), required=False, min_value=-180, max_value=180
    )
    notes = forms.CharField(
        label=_("Notes"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, fault: Fault, leg_ref: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fault, place = fault, fault.property
        self.fields["feet_along"] = length_field(place, _("Along the leg"))
        self.fields["depth_in"] = depth_field(place, _("Depth"))
        self._offer_legs()
        sent = self.data.get("leg", "") if self.is_bound else leg_ref
        self._offer_of_leg(sent or self.initial.get("leg", ""))

    def grouping(self) -> list[Group]:
        """Where, what, the photo, the mend, the bill."""
        where = ["leg", "feet_along", "from_point", "wires"]
        what = ["found_on", "depth_in", "cause", "damage", "notes", "move_on"]
        charged = ["liable_party", "notice_number", "who_was_on_site", "latitude", "longitude"]
        return [
            (_("Where"), where),
            (_("What was found"), what),
            (_("Photo"), ["camera", "photo", "shows", "keep_position"]),
            (MENDED, ["mended_on", "how_mended", "warranty_until"]),
            (CHARGED, charged),
            ("", ["why"]),
        ]

    def _offer_legs(self) -> None:
        near, others = legs_to_choose(self.fault)
        self.legs = {leg.ref: leg for leg in [*near, *others]}
        field = self.fields["leg"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            ("", _("none: not the wire, or not on the map")),
            (_("On the way of these stations"), [(leg.ref, self._name(leg)) for leg in near]),
            (_("Other legs"), [(leg.ref, self._name(leg)) for leg in others]),
        ]

    def _name(self, leg: Leg) -> str:
        ends = f"{leg.from_point} – {leg.to_point}"
        label = f"{leg.label}: {ends}" if leg.label else ends
        return f"{label}, {feet(leg.length_ft, self.fault.property)}"

    def _offer_of_leg(self, ref: str) -> None:
        leg = self.legs.get(ref)
        ends, wires = self.fields["from_point"], self.fields["wires"]
        assert isinstance(ends, forms.ChoiceField)
        assert isinstance(wires, forms.MultipleChoiceField)
        own = wires_of_stations(self.fault)
        here = sorted(_wires_of(leg), key=lambda one: (one.pk not in own, by_number(one.name)))
        self.wires_here: dict[str, Wire] = {wire.ref: wire for wire in here}
        wires.choices = [(ref, wire.name) for ref, wire in self.wires_here.items()]
        wires.initial = [wire.ref for wire in here if wire.pk in own]
        if leg is None:
            del self.fields["from_point"], self.fields["wires"]
            return
        self.ends = {end.ref: end for end in (leg.from_point, leg.to_point)}
        ends.choices = [(ref, str(end)) for ref, end in self.ends.items()]
        ends.initial = leg.from_point.ref

    def facts(self) -> BreakFacts:
        """Return the cleaned values as the verb's arguments."""
        data = self.cleaned_data
        end = data.get("from_point")
        given: dict[str, Any] = {
            **{name: data.get(name) for name in PLAIN},
            "leg": self.legs.get(data["leg"]),
            "from_point": self.ends[end] if end else None,
            "wires": [self.wires_here[ref] for ref in data.get("wires", ())],
        }
        return BreakFacts(**given)


def _wires_of(leg: Leg | None) -> QuerySet[Wire] | Sequence[Wire]:
    return [] if leg is None else leg.wires.filter(retired_on__isnull=True).order_by("name", "pk")


class RecordBreakForm(BreakForm):
    """A new break, with a photo from the phone at once.

    Args:
        waiting: stations that the user may move to "found" with it.
    """

    camera = forms.FileField(
        label=_("Take a photo"),
        required=False,
        widget=forms.FileInput(attrs={"accept": READABLE, "capture": "environment"}),
    )
    photo = forms.FileField(
        label=_("Photo from a file"),
        required=False,
        widget=forms.FileInput(attrs={"accept": READABLE}),
    )
    shows = forms.ChoiceField(
        label=_("It shows"), choices=Shows.choices, initial=Shows.BEFORE, required=False
    )
    keep_position = forms.BooleanField(
        label=_("Take the position of the break from the photo"), required=False
    )
    move_on = forms.BooleanField(label=_("These stations are found now"), required=False)

    def __init__(
        self, *args: Any, waiting: Sequence[FaultStation], today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["leg"].initial = kwargs.get("leg_ref", "")
        self.waiting = waiting
        self.fields["found_on"].initial = today
        self.fields["move_on"].initial = True
        self.fields["move_on"].help_text = ", ".join(str(row.station) for row in waiting)
        if not waiting:
            del self.fields["move_on"]

    def found(self) -> list[FaultStation]:
        """Return the stations that move to "found" with it."""
        return list(self.waiting) if self.cleaned_data.get("move_on") else []


class CorrectBreakForm(BreakForm):
    """Corrects what was recorded of a break."""

    why = why_field(required=True, label=_("What was wrong?"))
    folded = ()

    def __init__(self, *args: Any, one: Break, **kwargs: Any) -> None:
        known = {name: getattr(one, name) for name in PLAIN}
        known |= {
            "leg": one.leg.ref if one.leg else "",
            "from_point": (one.from_point or one.leg.from_point).ref if one.leg else "",
            "wires": [wire.ref for wire in one.wires.all()],
        }
        super().__init__(*args, fault=one.fault, initial=known, **kwargs)

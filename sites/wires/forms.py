"""Forms of the verbs on wires and on what they serve."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from sites.ground.forms.points_and_legs import DayAndWhyForm
from sites.kernel.forms.fields import DayField, WindowField
from sites.models import Controller, Station, Wire, WireKind


class WireForm(forms.Form):
    """A wire, and its way in words."""

    name = forms.CharField(label=_("Name"), max_length=60)
    kind = forms.ChoiceField(label=_("Kind"), choices=WireKind.choices)
    colour = forms.CharField(label=_("Colour and stripe"), max_length=40, required=False)
    size = forms.CharField(
        label=_("Size"), max_length=16, required=False, help_text=_("Such as 14 AWG or 2.5 mm2.")
    )
    cable = forms.CharField(label=_("Cable"), max_length=60, required=False)
    way = forms.CharField(
        label=_("Its way"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text=_(
            "The points that it comes by, in order from the controller, one a line. An empty line "
            "starts a branch, at a point named above. Where several legs join the same two points, "
            "write the leg's label between them."
        ),
    )
    value_names: Sequence[str] = ("name", "kind", "colour", "size", "cable")

    def __init__(
        self, *args: Any, today: date, row: Wire | None = None, way: str = "", **rest: Any
    ) -> None:
        known: dict[str, object] = {"way": way}
        if row is not None:
            known |= {name: getattr(row, name) for name in self.value_names}
            if row.laid_earliest and row.laid_latest:
                known["laid"] = (row.laid_earliest, row.laid_latest)
        super().__init__(*args, **{**rest, "initial": known})
        self.fields["laid"] = WindowField(
            today=today, label=_("Laid"), help_text=_("A day, a month or a year.")
        )
        self.order_fields([*self.value_names, "laid", "way"])

    def clean_name(self) -> str:
        """Fold stray spaces, so that one wire does not become two."""
        return " ".join(str(self.cleaned_data["name"]).split())

    def values(self) -> dict[str, object]:
        """Return the facts as the verb takes them."""
        earliest, latest = self.cleaned_data["laid"] or (None, None)
        plain = {name: self.cleaned_data[name] for name in self.value_names}
        return {**plain, "laid_earliest": earliest, "laid_latest": latest}


class LayForm(WireForm):
    """A new wire with the terminal it is on."""

    controller: Any = forms.ModelChoiceField(
        label=_("Controller"), queryset=None, required=False, empty_label=_("on no terminal")
    )
    terminal = forms.CharField(label=_("Terminal"), max_length=16, required=False)
    on = DayField(
        label=_("On this terminal since"),
        required=False,
        help_text=_("Empty: as far back as we know."),
    )

    def __init__(self, *args: Any, controllers: QuerySet[Controller], **rest: Any) -> None:
        super().__init__(*args, **rest)
        chosen: Any = self.fields["controller"]
        chosen.queryset = controllers
        self.order_fields([*self.value_names, "laid", "way", "controller", "terminal", "on"])


class ChangeWireForm(WireForm):
    """A known wire, and why it is changed."""

    why = forms.CharField(label=_("Why?"), max_length=80, required=False)


class OutOfUseForm(DayAndWhyForm):
    """From when a wire is not counted on, and whether it is thought broken."""

    is_suspected_broken = forms.BooleanField(
        label=_("It is suspected broken"), required=False, initial=True
    )
    field_order = ["on", "is_suspected_broken", "why"]


class TerminalForm(DayAndWhyForm):
    """The terminal that a wire is put on."""

    controller: Any = forms.ModelChoiceField(label=_("Controller"), queryset=None)
    terminal = forms.CharField(label=_("Terminal"), max_length=16, required=False)
    field_order = ["controller", "terminal", "on", "why"]

    def __init__(self, *args: Any, controllers: QuerySet[Controller], **rest: Any) -> None:
        super().__init__(*args, **rest)
        chosen: Any = self.fields["controller"]
        chosen.queryset = controllers


class ServeForm(DayAndWhyForm):
    """The wire that serves a station."""

    wire: Any = forms.ModelChoiceField(
        label=_("Wire"), queryset=None, required=False, empty_label=_("no wire")
    )
    field_order = ["wire", "on", "why"]

    def __init__(self, *args: Any, wires: QuerySet[Wire], **rest: Any) -> None:
        super().__init__(*args, **rest)
        chosen: Any = self.fields["wire"]
        chosen.queryset = wires


class SpareForm(DayAndWhyForm):
    """The spare that takes a station over."""

    spare: Any = forms.ChoiceField(label=_("Spare"), widget=forms.RadioSelect)
    is_seen = forms.BooleanField(
        label=_("I have seen this spare in the valve's box: it runs along the station's way."),
        required=False,
        help_text=_("Needed only where the register does not show that it leads there."),
    )
    field_order = ["spare", "on", "is_seen", "why"]

    def __init__(self, *args: Any, spares: Sequence[tuple[Wire, str]], **rest: Any) -> None:
        super().__init__(*args, **rest)
        self.by_key = {str(wire.pk): wire for wire, _words in spares}
        choices = [(str(wire.pk), words) for wire, words in spares]
        self.fields["spare"].choices = choices  # type: ignore[attr-defined]

    def clean_spare(self) -> Wire:
        """Return the wire that was chosen."""
        return self.by_key[self.cleaned_data["spare"]]


class DoubleForm(forms.Form):
    """The neighbour that shares its wire, and the client's acceptance."""

    neighbour: Any = forms.ModelChoiceField(label=_("Neighbour"), queryset=None)
    on = DayField(label=_("On which day?"))
    accepted_by_client_on = DayField(
        label=_("Accepted by the client on"),
        required=False,
        help_text=_("Both stations water at once from now on: the client must have said yes."),
    )
    notes = forms.CharField(label=_("Remarks"), max_length=200, required=False)

    def __init__(self, *args: Any, neighbours: QuerySet[Station], **rest: Any) -> None:
        super().__init__(*args, **rest)
        chosen: Any = self.fields["neighbour"]
        chosen.queryset = neighbours

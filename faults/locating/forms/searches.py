"""Forms of a search: what a test said, and what is at hand."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, cast

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.locating.engines.line import Joint
from faults.locating.services.evidence import CAUSES
from faults.locating.services.line import SearchGround
from faults.locating.services.ohms_words import choices_of, said_of
from faults.locating.services.words import checks_of, outside_words
from faults.models import KindOfTest, SearchTool
from faults.readings.forms.distances import feet_per_unit, unit_of
from sites.models import Station

GOOD, BAD, NOT_TESTED = "good", "bad", "not tested"
SIDES = [
    (GOOD, gettext_lazy("good")),
    (BAD, gettext_lazy("bad")),
    (NOT_TESTED, gettext_lazy("not tested")),
]
CHECKS = [
    ("output", gettext_lazy("volts at the controller's terminal")),
    ("common", gettext_lazy("another station on the same common")),
    ("coil", gettext_lazy("ohms of the coil at the valve")),
    ("water", gettext_lazy("the valve opened by hand")),
    ("controller splice", gettext_lazy("the wire's end and splice at the controller")),
    ("valve splice", gettext_lazy("the splices in the valve box")),
    ("master", gettext_lazy("the master valve or pump")),
    ("wire", gettext_lazy("whether this is the station's wire, proved from the valve")),
]
CONDUCTORS = [("hot", gettext_lazy("this station's wire")), ("common", gettext_lazy("the common"))]
ENDS = [("", gettext_lazy("at the controller")), ("valve", gettext_lazy("at the valve"))]


def taps(label: Any, choices: Sequence[tuple[Any, Any]], **more: Any) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices, widget=forms.RadioSelect, **more)


def _yes_no(label: Any, yes: Any, no: Any) -> forms.ChoiceField:
    return taps(label, [("yes", yes), ("no", no)])


class SaidForm(forms.Form):
    """What one test said. `said()` gives it as the engine reads it."""

    def __init__(
        self,
        *args: Any,
        kind: KindOfTest,
        ground: SearchGround,
        units: str,
        station: Station,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.kind, self.ground, self.units, self.station = kind, ground, units, station
        _BUILD[kind](self)
        self.fields["taken_at"] = forms.DateTimeField(
            label=_("When"),
            initial=timezone.localtime().replace(second=0, microsecond=0),
            widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        )

    def said(self) -> dict[str, Any]:
        """Return the test in the engine's terms, lengths in feet."""
        data = self.cleaned_data
        if self.kind is KindOfTest.OHMS:
            return said_of(data["ohms"])
        said: dict[str, Any] = {"kind": self.kind.value}
        for name in ("point", "to_point", "leg"):
            if name in data:
                said[name] = int(data[name])
        for name in ("controller_bad", "valve_bad", "unloaded_bad"):
            if name in data:
                said[name] = None if data[name] == NOT_TESTED else data[name] == BAD
        for name in ("heard", "flows", "works", "is_right"):
            if name in data:
                said[name] = data[name] == "yes"
        if data.get("fed_at"):
            said["fed_at"] = int(data["fed_at"])
        if data.get("runs"):
            said["runs"] = data["runs"] == "yes"
        for name, flag in (("stays", "stays"), ("farthest", "is_farthest")):
            if data.get(name):
                said[flag] = True
        for name in ("third", "check", "conductor", "joint", "wear"):
            if data.get(name):
                said[name] = data[name]
        said |= {"from_valve": data["end"] == "valve"} if "end" in data else {}
        if "feet" in data:
            said["feet"] = float(data["feet"]) * feet_per_unit(self.units)
        if data.get("spread"):
            said |= {"sd_ft": float(data["spread"]) * feet_per_unit(self.units), "sd_share": 0.0}
        for name in ("level", "on_sound_wire"):
            if data.get(name) is not None:
                said[name] = float(data[name])
        if "level" in said:
            said["at_transmitter"] = float(data["at_transmitter"] or 0.0)
        return said

    def when(self) -> datetime:
        """Return when it was made."""
        return cast(datetime, self.cleaned_data["taken_at"])

    def clean(self) -> dict[str, Any]:
        """Require a level in thirds or the user's own marks, and a box with at least one side."""
        data = super().clean() or {}
        if self.kind is KindOfTest.TONE_LEVEL and not data.get("third"):
            for name in ("level", "on_sound_wire"):
                if data.get(name) is None and name not in self.errors:
                    self.add_error(
                        name, _("Choose a third above, or give both levels of your receiver.")
                    )
        if self.kind is KindOfTest.LOOKED and not (data["joint"] or data["wear"]):
            self.add_error("joint", _("Say what the wire does there, or how its splice looks."))
        sides = {data[name] for name in data if name.endswith("_bad")}
        if sides == {NOT_TESTED}:
            self.add_error("valve_bad", _("Say what at least one side gave."))
        return data

    def points(self, *, boxes_only: bool) -> list[tuple[int, str]]:
        """Return the points of the way to choose from, from the controller on."""
        points = self.ground.points[1:-1] if boxes_only else self.ground.points
        return [(pk, self.ground.names[pk]) for pk in points]


def _box(form: SaidForm) -> None:
    form.fields["point"] = taps(_("Where"), form.points(boxes_only=True))
    form.fields["controller_bad"] = taps(_("Toward the controller"), SIDES)
    form.fields["valve_bad"] = taps(_("Toward the valve"), SIDES)
    form.fields["runs"] = taps(
        _("Spliced again, the station"),
        [("yes", _("runs")), ("no", _("does not run")), ("", _("not tried"))],
        required=False,
        initial="",
    )


def _listened(form: SaidForm) -> None:
    form.fields["point"] = taps(_("Where"), form.points(boxes_only=True))
    form.fields["heard"] = _yes_no(_("The tone"), _("heard"), _("not heard"))


def _volts(form: SaidForm) -> None:
    form.fields["point"] = taps(_("Where"), form.points(boxes_only=True))
    volts = [(GOOD, _("as they should be")), (BAD, _("far too low")), (NOT_TESTED, _("not read"))]
    form.fields["controller_bad"] = taps(_("Before the splice, the coil running"), volts)
    form.fields["valve_bad"] = taps(_("Beyond the splice, the coil running"), volts)
    form.fields["unloaded_bad"] = taps(
        _("Before the splice, the wire to the valve taken off"), volts, initial=NOT_TESTED
    )


def _clamp(form: SaidForm) -> None:
    form.fields["point"] = taps(_("Where"), form.points(boxes_only=False))
    form.fields["flows"] = _yes_no(_("The current"), _("flows on"), _("does not flow"))


def _walked(form: SaidForm) -> None:
    points = form.points(boxes_only=False)
    form.fields["point"] = taps(_("From"), points)
    form.fields["to_point"] = taps(_("To"), points)
    if form.kind is KindOfTest.TONE_WALKED:
        form.fields["conductor"] = taps(_("Tone on"), CONDUCTORS, initial="hot")
        # A later walk from where the transmitter stands takes no new set-up.
        fed = [*points, ("", _("not said"))]
        form.fields["fed_at"] = taps(_("Fed at"), fed, required=False, initial="")


def _number(label: Any, **more: Any) -> forms.FloatField:
    widget = forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"})
    return forms.FloatField(label=label, widget=widget, **more)


def _level(form: SaidForm) -> None:
    form.fields["end"] = taps(_("Where it is fed"), ENDS, required=False, initial="")
    form.fields["third"] = taps(
        _("The level there"),
        [("low", _("low")), ("middle", _("middle")), ("top", _("full"))],
        required=False,
    )
    form.fields["level"] = _number(_("Or the receiver's number on this wire"), required=False)
    form.fields["on_sound_wire"] = _number(
        _("Its number on a sound wire of the same run"), required=False
    )
    form.fields["at_transmitter"] = _number(
        _("Its number with nothing connected"), required=False, initial=0
    )


def _distance(form: SaidForm) -> None:
    unit = unit_of(form.units)
    form.fields["end"] = taps(_("Measured"), ENDS, required=False, initial="")
    form.fields["feet"] = _number(_("Distance to the fault, %s") % unit)
    form.fields["spread"] = _number(
        _("Give or take, %s (leave empty where the instrument does not say)") % unit,
        required=False,
        min_value=0,
    )
    form.fields["farthest"] = taps(
        _("That is"),
        [("", _("where the fault is")), ("yes", _("the farthest that it can be"))],
        required=False,
        initial="",
    )


def _bypass(form: SaidForm) -> None:
    names = [leg.name for leg in form.ground.line.legs]
    form.fields["leg"] = taps(_("Leg"), list(zip(form.ground.legs, names, strict=True)))
    form.fields["conductor"] = taps(_("Round it for"), CONDUCTORS, initial="hot")
    form.fields["stays"] = taps(
        _("What was laid"),
        [("", _("a jumper, taken up again")), ("yes", _("a new wire that stays"))],
        required=False,
        initial="",
    )
    form.fields["works"] = _yes_no(_("With it the station"), _("runs"), _("does not run"))


def _check(form: SaidForm) -> None:
    form.fields["check"] = taps(_("Looked at"), checks_of(form.ground.others.master, CHECKS))
    form.fields["is_right"] = _yes_no(_("It is"), _("in order"), _("wrong"))


def _gradient(form: SaidForm) -> None:
    form.fields["feet"] = _number(
        _("Feet along the wire from the controller")
        if unit_of(form.units) == "ft"
        else _("Metres along the wire from the controller")
    )


def _spare(form: SaidForm) -> None:
    form.fields["works"] = _yes_no(_("On the spare wire the station"), _("runs"), _("does not run"))


def _looked(form: SaidForm) -> None:
    form.fields["point"] = taps(_("Where"), form.points(boxes_only=True))
    joints = [(Joint.SPLICED.value, _("is spliced")), (Joint.UNCUT.value, _("passes uncut"))]
    wears = [("sound", _("sound")), ("wet", _("wet")), ("corroded", _("corroded"))]
    form.fields["joint"] = taps(_("There this wire"), joints, required=False)
    form.fields["wear"] = taps(_("Its splice looks"), wears, required=False)


def _ohms(form: SaidForm) -> None:
    form.fields["ohms"] = taps(
        _("From the wire to the common, the meter reads"), choices_of(form.station)
    )


def _replaced(form: SaidForm) -> None:
    parts = [(word, outside_words(cause)) for word, cause in CAUSES.items()]
    form.fields["check"] = taps(
        _("Replaced or mended"), checks_of(form.ground.others.master, parts)
    )


_BUILD = {
    KindOfTest.LOOKED: _looked,
    KindOfTest.MENDED: _replaced,
    KindOfTest.OHMS: _ohms,
    KindOfTest.BOX: _box,
    KindOfTest.INSULATION: _box,
    KindOfTest.LISTENED: _listened,
    KindOfTest.CLAMP: _clamp,
    KindOfTest.VOLTS: _volts,
    KindOfTest.TONE_WALKED: _walked,
    KindOfTest.GRADIENT_WALKED: _walked,
    KindOfTest.TONE_LEVEL: _level,
    KindOfTest.DISTANCE: _distance,
    KindOfTest.BYPASS: _bypass,
    KindOfTest.CHECK: _check,
    KindOfTest.GRADIENT: _gradient,
    KindOfTest.SPARE: _spare,
}


class EquipForm(forms.Form):
    """What is at hand, and how the ground is."""

    tools = forms.MultipleChoiceField(
        label=gettext_lazy("At hand besides transmitter and receiver"),
        choices=SearchTool.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    may_cut = forms.BooleanField(
        label=gettext_lazy("A wire that passes a box uncut may be cut and spliced"), required=False
    )
    soil_is_dry = forms.BooleanField(
        label=gettext_lazy("The soil is dry (the level of a tone then says nothing)"),
        required=False,
    )

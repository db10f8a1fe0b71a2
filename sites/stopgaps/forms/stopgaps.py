"""Forms of the verbs on stopgaps and on the batteries of devices."""

import re
from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import CHANGED, WRONG, DayField, GroupedForm, WindowField
from sites.models import (
    REASON_CHOICES,
    BatteryFound,
    MainValve,
    Property,
    Station,
    Stopgap,
    StopgapKind,
)
from sites.stopgaps.services.stopgap_rules import StopgapFacts

MOST_STATIONS = 200
_NUMBERS = re.compile(r"(\d{1,4})(?:\s*[-–]\s*(\d{1,4}))?")
FACTS = tuple(StopgapFacts.__dataclass_fields__)


class StationsField(forms.CharField):
    """Stations of one property as people name them: "A:7, A:9-12; B:3"."""

    def __init__(self, *, place: Property, **kwargs: Any) -> None:
        self.place = place
        super().__init__(**{"max_length": 500, **kwargs})

    def clean(self, value: object) -> list[Station]:
        """Return the stations, each once; say which one is not found."""
        wanted = _named(super().clean(value))
        if len(wanted) > MOST_STATIONS:
            raise forms.ValidationError(_("At most 200 stations at once."))
        rows = Station.objects.in_care().filter(
            controller__property=self.place, number__in={number for _name, number in wanted}
        )
        found = {
            (station.controller.name.casefold(), station.number): station
            for station in rows.select_related("controller__property")
        }
        only = self._only_controller()
        keys = [((name or only).casefold(), number) for name, number in wanted]
        missing = [f"{name}:{number}" for name, number in keys if (name, number) not in found]
        if missing:
            raise forms.ValidationError(
                _("Not found here: %s. Name a station as controller:number.") % ", ".join(missing)
            )
        return list({found[key].pk: found[key] for key in keys}.values())

    def _only_controller(self) -> str:
        names = list(self.place.controllers.in_care().values_list("name", flat=True)[:2])
        return names[0] if len(names) == 1 else ""


def _named(text: str) -> list[tuple[str, int]]:
    """Return (controller, number) of each station; a controller's name counts until the next."""
    found: list[tuple[str, int]] = []
    name = ""
    for piece in re.split(r"[,;\n]", text):
        if not piece.strip():
            continue
        before, colon, rest = piece.rpartition(":")
        name = before.strip() if colon else name
        numbers = _NUMBERS.fullmatch(rest.strip())
        if not numbers:
            raise forms.ValidationError(
                _("“%s” names no station. Write controller:number, such as A:7.") % piece.strip()
            )
        first, last = int(numbers[1]), int(numbers[2] or numbers[1])
        found += [(name, number) for number in range(first, last + 1)]
    return found


class StopgapForm(GroupedForm):
    """What a stopgap is made of; fitting and correcting one ask the same."""

    kind = forms.ChoiceField(label=_("What stands in?"), choices=StopgapKind.choices)
    # No reason is chosen beforehand: the first of a list would be recorded by those in a hurry.
    reason = forms.ChoiceField(label=_("Reason"), choices=[("", _("choose")), *REASON_CHOICES])
    device: Any = forms.ModelChoiceField(
        label=_("Device"), queryset=None, required=False, empty_label=_("none")
    )
    new_device = forms.CharField(
        label=_("Or a new device"),
        max_length=60,
        required=False,
        help_text=_("Its label, for a battery timer that is not in the list."),
    )
    battery_kind = forms.CharField(
        label=_("Batteries of the new device"), max_length=40, required=False
    )
    main_valve = forms.ChoiceField(
        label=_("Its master valve or pump then"),
        choices=[("", _("not known")), *MainValve.choices],
        required=False,
        help_text=_(
            "Central opens it only for what central runs. Until this is said, the water of a "
            "station behind it is not known."
        ),
    )
    accepted_by_client_on = DayField(
        label=_("Accepted by the client on"),
        required=False,
        help_text=_("Needed for a surface wire and for a doubled station."),
    )
    agreed_until = DayField(
        label=_("Agreed until"), required=False, help_text=_("For the client's choice.")
    )
    disabled_in_central_on = DayField(
        label=_("Disabled in central on"),
        required=False,
        help_text=_("So that central does not count it as watered. It can be entered later."),
    )
    first_seen_on = DayField(
        label=_("First seen"),
        required=False,
        help_text=_("The first day somebody wrote it down, where it was found and not fitted."),
    )
    reason_given = forms.CharField(label=_("Reason as written"), max_length=200, required=False)
    removed_on = DayField(label=_("Taken away on"), required=False)
    end_reason = forms.CharField(label=_("Why it ended"), max_length=200, required=False)
    notes = forms.CharField(
        label=_("Notes"), required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    rare: Sequence[str] = (
        "first_seen_on",
        "accepted_by_client_on",
        "agreed_until",
        "disabled_in_central_on",
        "reason_given",
        "removed_on",
        "end_reason",
        "notes",
    )

    def __init__(self, *args: Any, place: Property, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["fitted"] = WindowField(
            today=today,
            label=_("Fitted"),
            help_text=_("A day as 2025-03-04; a month (2025-03) or a year (2025) will do."),
        )
        devices: Any = self.fields["device"]
        devices.queryset = place.devices.order_by("name", "pk")
        behind = Station.objects.in_care().filter(controller__property=place)
        if not behind.filter(depends_on__isnull=False).exists():
            self.rare = (*self.rare, "main_valve")

    def facts(self) -> StopgapFacts:
        """Return what was entered as the verb takes it."""
        return StopgapFacts(**{name: self.cleaned_data[name] for name in FACTS})


class FitForm(StopgapForm):
    """Fit one stopgap on one or several stations."""

    instead = forms.BooleanField(
        label=_("Fitted instead of what stands there"),
        required=False,
        help_text=_("Ends the stopgap that stands there now, on the same day."),
    )

    def __init__(self, *args: Any, place: Property, **kwargs: Any) -> None:
        super().__init__(*args, place=place, **kwargs)
        self.fields["stations"] = StationsField(
            place=place,
            label=_("Stations"),
            help_text=_("Such as A:7, or A:7, A:9-12; B:3 where one device runs several valves."),
        )
        self.order_fields(
            [
                "stations",
                "kind",
                "fitted",
                "instead",
                "reason",
                "main_valve",
                "device",
                "new_device",
            ]
        )


class CorrectForm(StopgapForm):
    """Correct what was recorded of a stopgap."""

    why = forms.CharField(
        label=_("What was wrong?"),
        max_length=80,
        help_text=_("In a few words; kept in the history beside the old values."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["why", "kind", "fitted", "first_seen_on", "removed_on", "reason"])

    rare: Sequence[str] = (
        "accepted_by_client_on",
        "agreed_until",
        "disabled_in_central_on",
        "notes",
    )


class EndForm(forms.Form):
    """End a stopgap, and the others of its device in the same visit."""

    on = DayField(label=_("Taken away on"))
    why = forms.CharField(
        label=_("Why?"), max_length=200, help_text=_("Such as: mended, moved to a spare wire.")
    )

    def __init__(self, *args: Any, stopgap: Stopgap, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stopgap = stopgap
        self.others = {str(each.pk): each for each in _of_same_device(stopgap)}
        if self.others:
            self.fields["also"] = forms.MultipleChoiceField(
                label=_("Also on these valves of the device"),
                choices=[(key, str(each.station)) for key, each in self.others.items()],
                initial=list(self.others),
                required=False,
                widget=forms.CheckboxSelectMultiple,
            )

    def stopgaps(self) -> list[Stopgap]:
        """Return the stopgaps that end."""
        return [self.stopgap, *(self.others[key] for key in self.cleaned_data.get("also", []))]


def _of_same_device(stopgap: Stopgap) -> list[Stopgap]:
    if stopgap.device is None:
        return []
    rows = stopgap.device.stopgaps.filter(removed_on__isnull=True).exclude(pk=stopgap.pk)
    return list(rows.select_related("station__controller__property").order_by("station", "pk"))


class NoteForm(forms.Form):
    """What was learnt of a stopgap after it was fitted."""

    disabled_in_central_on = StopgapForm.base_fields["disabled_in_central_on"]
    accepted_by_client_on = StopgapForm.base_fields["accepted_by_client_on"]
    agreed_until = StopgapForm.base_fields["agreed_until"]
    notes = StopgapForm.base_fields["notes"]


class BatteryForm(forms.Form):
    """A new set of batteries, or what was wrong about the recorded one."""

    what = forms.ChoiceField(
        label=_("What happened?"),
        widget=forms.RadioSelect,
        choices=[
            (CHANGED, _("A new set was put in.")),
            (WRONG, _("What is recorded of the set that is in now was wrong.")),
        ],
    )
    on = DayField(
        label=_("Day of the change"),
        required=False,
        help_text=_("Leave it empty only to say that the recorded day is not known after all."),
    )
    kind = forms.CharField(label=_("Kind of batteries"), max_length=40, required=False)
    found = forms.ChoiceField(
        label=_("How was the old set?"),
        choices=[("", _("nobody knows")), *BatteryFound.choices],
        required=False,
        help_text=_("From it the life of each kind of batteries is learned."),
    )
    why = forms.CharField(
        label=_("What was wrong?"),
        max_length=80,
        required=False,
        help_text=_("Only for what was wrong."),
    )

    def clean(self) -> dict[str, object]:
        """A new set has its day."""
        data = super().clean() or {}
        if data.get("what") == CHANGED and not data.get("on") and "on" not in self.errors:
            self.add_error("on", _("On which day?"))
        return data

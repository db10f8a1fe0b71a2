"""The form that reports a fault, and the one that corrects a report."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, GroupedForm, TimeField, why_field
from faults.cases.services.naming import UnableToFindStation, find_stations
from faults.cases.services.report import Report
from faults.models import Answer, Fault, Symptom
from sites.models import Property
from sites.models.property import PropertyQuerySet


def _answer(label: Any, help_text: Any = "") -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label,
        choices=Answer.choices,
        initial=Answer.NOT_TRIED,
        widget=forms.RadioSelect,
        help_text=help_text,
    )


class TriageForm(GroupedForm):
    """What is known before anyone drives there."""

    symptom = forms.ChoiceField(
        label=_("Symptom"), choices=Symptom.choices, initial=Symptom.NOT_KNOWN
    )
    runs_with = forms.CharField(
        label=_("Which other station comes on?"),
        max_length=60,
        required=False,
        help_text=_("Only where it runs with another, and somebody saw which."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    reported_on = DayField(label=_("Reported"))
    summary = forms.CharField(
        label=_("What is known"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    caller = forms.CharField(label=_("Who called?"), max_length=120, required=False)
    order_number = forms.CharField(
        label=_("The client's order number"), max_length=60, required=False
    )
    promised_on = DayField(
        label=_("Somebody comes by"),
        required=False,
        help_text=_("Only where a day was promised: the first visit is due by it."),
    )
    promised_from = TimeField(
        label=_("Somebody begins from"),
        required=False,
        help_text=_("Only where times were promised: somebody begins on that very day."),
    )
    promised_until = TimeField(label=_("Somebody begins until"), required=False)
    opens_by_hand = _answer(
        _("Does the valve open by hand?"), _("No: valve or water is to blame, not the wire.")
    )
    others_run = _answer(_("Do other stations on the same main or common run?"))

    def report(self) -> Report:
        """Return the cleaned values as the verb's arguments."""
        data = self.cleaned_data
        return Report(
            reported_on=data["reported_on"],
            symptom=data.get("symptom", Symptom.NOT_KNOWN.value),
            summary=data["summary"].strip(),
            opens_by_hand=data.get("opens_by_hand", ""),
            others_run=data.get("others_run", ""),
            ohms=data.get("ohms"),
            caller=data.get("caller", ""),
            order_number=data.get("order_number", ""),
            promised_on=data.get("promised_on"),
            runs_with=data.get("runs_with") or None,
            promised_from=data.get("promised_from"),
            promised_until=data.get("promised_until"),
        )

    def find_other(self, place: Property, data: dict[str, object]) -> None:
        """Turn the name of the other station into that station."""
        text = str(data.get("runs_with") or "").strip()
        if not text:
            return
        try:
            found = find_stations(place, text)
        except UnableToFindStation as refusal:
            self.add_error("runs_with", str(refusal))
            return
        if len(found) > 1:
            self.add_error("runs_with", _("Name one station: the one that is called."))
            return
        (data["runs_with"],) = found


class ReportForm(TriageForm):
    """A new fault: the stations as people name them, then three questions.

    Args:
        places: the properties to choose from by typing, where the page is about none.
        plainly: the client's form, without what only a meter or a valve key can tell.
    """

    place = forms.CharField(label=_("Property"), max_length=60)
    stations = forms.CharField(
        label=_("Stations"),
        max_length=400,
        help_text=_("Controller:number, several with commas: B:7, 9, 12-14. A name does too."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    ohms = forms.FloatField(
        label=_("Ohms of the first station at the controller"),
        required=False,
        min_value=0,
        max_value=1e7,
        help_text=_("If somebody measured. It becomes a reading on the station's wire."),
    )

    field_order = [
        "place",
        "stations",
        "symptom",
        "runs_with",
        "opens_by_hand",
        "others_run",
        "ohms",
        "summary",
        "caller",
        "order_number",
        "reported_on",
        *("promised_on", "promised_from", "promised_until"),
    ]

    def __init__(
        self,
        *args: Any,
        places: PropertyQuerySet,
        place: Property | None,
        today: date,
        plainly: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.places, self.known_place = places, place
        self.fields["reported_on"].initial = today
        if place is not None:
            del self.fields["place"]
        else:
            self.fields["place"].widget.attrs |= {"list": "places", "autocomplete": "off"}
        if place is not None:
            for name in ("stations", "runs_with"):
                self.fields[name].widget.attrs["list"] = "stations-known"
        if plainly:
            self._speak_plainly()
        first = "place" if place is None else "stations"
        self.fields[first].widget.attrs["autofocus"] = True

    def _speak_plainly(self) -> None:
        ours = ("symptom", "runs_with", "opens_by_hand", "others_run", "ohms")
        promised = ("promised_on", "promised_from", "promised_until")
        for name in (*ours, "caller", *promised):
            del self.fields[name]
        self.fields["stations"].label = _("Which part does not water as it should?")
        self.fields["stations"].help_text = _(
            "Its name or its number, such as “front lawn” or B:7. Several with commas."
        )
        self.fields["summary"].label = _("What do you see?")
        self.fields["summary"].required = True
        self.fields["reported_on"].label = _("Which day is it?")

    def clean(self) -> dict[str, object]:
        """Turn the names into the property and its stations."""
        data = super().clean() or {}
        place = self.known_place or self._find_place(data.get("place"))
        if place is None:
            return data
        data["place"] = place
        try:
            data["stations"] = find_stations(place, data.get("stations") or "")
        except UnableToFindStation as refusal:
            if "stations" not in self.errors:
                self.add_error("stations", str(refusal))
        self.find_other(place, data)
        return data

    def _find_place(self, code: str | None) -> Property | None:
        if not code:
            return None
        found = self.places.filter(code__iexact=code.strip()).order_by("pk").first()
        if found is None:
            self.add_error("place", _("No property of yours is called that. Choose from the list."))
        return found


class CorrectReportForm(TriageForm):
    """Corrects what was reported."""

    why = why_field(required=True, label=_("What was wrong?"))

    def __init__(self, *args: Any, fault: Fault, **kwargs: Any) -> None:
        known = {
            "symptom": fault.symptom,
            "reported_on": fault.reported_on,
            "summary": fault.summary,
            "opens_by_hand": fault.opens_by_hand or Answer.NOT_TRIED,
            "others_run": fault.others_run or Answer.NOT_TRIED,
            "caller": fault.caller,
            "order_number": fault.order_number,
            "promised_on": fault.promised_on,
            "promised_from": fault.promised_from,
            "promised_until": fault.promised_until,
            "runs_with": str(fault.runs_with or ""),
        }
        super().__init__(*args, **{"initial": known, **kwargs})
        self.place = fault.property

    def clean(self) -> dict[str, object]:
        """Turn the name of the other station into that station."""
        data = super().clean() or {}
        self.find_other(self.place, data)
        return data

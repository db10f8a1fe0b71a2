"""The forms from which a quote is made: for a search, and for what was found."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, Group, GroupedForm, Words, depth_field, length_field
from faults.models import OPTION_CHOICES, FaultPhoto
from faults.prices.engines.pricing import Price
from faults.quotes.engines.quoting import (
    FOR_A_DIG,
    FOR_A_SEARCH,
    OPENS_GROUND,
    OptionKind,
    Work,
)
from faults.quotes.services.told import QuoteFacts
from faults.work.engines.digging import Ground, Hole
from faults.work.services.ground_words import GROUND_WORDS
from sites.models import Property

HOURS: dict[str, Words] = {
    "searching_h": _("Tracing, man-hours"),
    "travel_h": _("Travel, man-hours"),
    "mending_h": _("Mending and testing, man-hours"),
    "helper_h": _("Helper, man-hours"),
    "overtime_h": _("Overtime, man-hours beside these"),
    "waiting_h": _("Standing by beside our dig, man-hours"),
    "beside_them_h": _("Standing by while you dig, man-hours"),
    "machine_h": _("Machine with operator, hours"),
    "other_wire_h": _("New or spare wire, man-hours"),
}


class _QuoteForm(GroupedForm):
    """What both have: what is written to the client, what can be chosen, until when."""

    offered: Sequence[OptionKind] = ()
    hours: Sequence[str] = ()

    found = forms.CharField(
        label=_("What the client reads first"),
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    shows_plan = forms.BooleanField(
        label=_("The client sees the plan of this wire"),
        required=False,
        help_text=_("Its way and the break alone, without names or anything else of the property."),
    )

    def __init__(self, *args: Any, place: Property, stays: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words = {**dict(OPTION_CHOICES), OptionKind.TIMER.value: stays}
        self.fields["options"] = forms.MultipleChoiceField(
            label=_("What can the client choose?"),
            choices=[(kind.value, words[kind.value]) for kind in self.offered],
            widget=forms.CheckboxSelectMultiple,
        )
        for name in self.hours:
            self.fields[name] = _number(HOURS[name])
        self.fields["trips"] = _number(_("Trips"), decimal_places=0)
        self.fields["valid_until"] = DayField(label=_("Valid until"))

    def work(self) -> Work:
        """Return hours and trips."""
        data = self.cleaned_data
        names = [*self.hours, "trips"]
        return Work(**{name: data[name] for name in names if data[name] is not None})

    def kept(self) -> dict[str, Any]:
        """Return what was filled in, to make the next version from it."""
        data = self.cleaned_data
        return {name: _kept(data[name]) for name in self.fields if name != "valid_until"}


class SearchQuoteForm(_QuoteForm):
    """A limit for the search, before the visit."""

    offered = FOR_A_SEARCH
    hours = ("searching_h", "travel_h", "helper_h", "overtime_h")

    def __init__(self, *args: Any, search_min: tuple[float, float] | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.search_min = search_min
        self.fields["searching_h"].required = True
        self.fields["searching_h"].label = _("Limit of the search, man-hours")

    def grouping(self) -> list[Group]:
        """What is said, and what it takes."""
        return [
            ("", ["found", "shows_plan", "options", "valid_until"]),
            (_("What it takes"), [*self.hours, "trips"]),
        ]

    def facts(self) -> QuoteFacts:
        """Return what the quote is made from."""
        data = self.cleaned_data
        return QuoteFacts(
            frozenset(OptionKind(value) for value in data["options"]),
            self.work(),
            data["valid_until"],
            data["found"],
            search_min=self.search_min,
            kept=self.kept(),
        )


class DigQuoteForm(_QuoteForm):
    """The hole, the hours, the materials: for what was found."""

    offered = FOR_A_DIG
    hours = tuple(HOURS)

    def __init__(
        self,
        *args: Any,
        place: Property,
        materials: Sequence[Price],
        photos: Sequence[FaultPhoto],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, place=place, **kwargs)
        self.photos = {photo.ref: photo for photo in photos}
        if self.photos:
            self.fields["photos"] = forms.MultipleChoiceField(
                label=_("Which photos does the client see?"),
                choices=[(ref, _photo_words(each)) for ref, each in self.photos.items()],
                required=False,
                widget=forms.CheckboxSelectMultiple,
            )
        some = {"min_value": 0.1, "max_value": 1000}
        self.fields["length_ft"] = length_field(place, _("Length of the hole"), **some)
        self.fields["width_in"] = depth_field(place, _("Width"), **some)
        self.fields["depth_in"] = depth_field(place, _("Depth"), **some)
        grounds = [(ground.value, word) for ground, word in GROUND_WORDS.items()]
        self.fields["ground"] = forms.ChoiceField(
            label=_("Ground"), choices=[("", _("not known")), *grounds], required=False
        )
        self.materials = list(materials)
        for n, material in enumerate(self.materials):
            words = f"{material.name}, {material.unit}"
            self.fields[f"mend_{n}"] = _number(words)
            self.fields[f"wire_{n}"] = _number(_("%s, for new wire") % words)

    def grouping(self) -> list[Group]:
        """What is said, the hole, the hours, the materials."""
        used = [f"{what}_{n}" for n in range(len(self.materials)) for what in ("mend", "wire")]
        return [
            ("", ["found", "photos", "shows_plan", "options", "valid_until"]),
            (_("The hole"), ["length_ft", "width_in", "depth_in", "ground"]),
            (_("What it takes"), [*self.hours, "trips"]),
            (_("Materials"), used),
        ]

    def clean(self) -> dict[str, Any]:
        """A dig needs its hole: without the depth nothing is priced and nothing is safe."""
        data: dict[str, Any] = super().clean() or {}
        chosen = {OptionKind(value) for value in data.get("options", ())}
        if OPENS_GROUND & chosen:
            for name in ("length_ft", "width_in", "depth_in"):
                if data.get(name) is None and name not in self.errors:
                    self.add_error(name, _("Say how large the hole is: a dig is priced by it."))
        return data

    def hole(self) -> Hole | None:
        """Return the hole, where one is dug."""
        data = self.cleaned_data
        sides = [data["length_ft"], data["width_in"], data["depth_in"]]
        if any(side is None for side in sides):
            return None
        return Hole(*sides)

    def work(self) -> Work:
        """Return hours, trips and materials."""
        work = super().work()
        return Work(
            **{name: getattr(work, name) for name in (*self.hours, "trips")},
            materials=self._used("mend"),
            wire_materials=self._used("wire"),
        )

    def _used(self, what: str) -> Mapping[str, Decimal]:
        found = {
            material.name: self.cleaned_data[f"{what}_{n}"]
            for n, material in enumerate(self.materials)
        }
        return {name: number for name, number in found.items() if number}

    def kept(self) -> dict[str, Any]:
        """Keep materials by their names: the price list may be in another order next time."""
        kept = super().kept()
        for n, material in enumerate(self.materials):
            for what in ("mend", "wire"):
                kept[f"{what} {material.name}"] = kept.pop(f"{what}_{n}")
        return kept

    def facts(self) -> QuoteFacts:
        """Return what the quote is made from."""
        data = self.cleaned_data
        return QuoteFacts(
            frozenset(OptionKind(value) for value in data["options"]),
            self.work(),
            data["valid_until"],
            data["found"],
            hole=self.hole(),
            ground=Ground(data["ground"]) if data["ground"] else None,
            photos=tuple(self.photos[ref] for ref in data.get("photos", ())),
            kept=self.kept(),
        )


def material_initial(start: Mapping[str, Any], materials: Sequence[Price]) -> dict[str, Any]:
    """Return the numbers of materials of the last version, in the order of the form."""
    return {
        f"{what}_{n}": start.get(f"{what} {material.name}")
        for n, material in enumerate(materials)
        for what in ("mend", "wire")
    }


def _number(label: Words, **more: Any) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        **{"min_value": 0, "max_digits": 9, "decimal_places": 3, **more},
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )


def _photo_words(photo: FaultPhoto) -> str:
    return photo.caption or photo.get_shows_display() or photo.added_at.date().isoformat()


def _kept(value: Any) -> Any:
    if isinstance(value, Decimal | date):
        return str(value)
    return value

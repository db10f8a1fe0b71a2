"""Forms that begin a register by hand, and the filters of its lists."""

from datetime import date
from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import time_zone_choices
from sites.models import (
    REASON_CHOICES,
    Central,
    Client,
    Controller,
    Cover,
    Leg,
    Point,
    PointKind,
    Property,
    Station,
    StationKind,
    Stopgap,
    StopgapKind,
    Units,
    Wire,
    WireKind,
    Wiring,
    today_at,
)


class PropertyForm(forms.ModelForm):  # type: ignore[type-arg]
    """The first facts of a property; the client is made if the name is new."""

    client_name = forms.CharField(
        label=_("Client"), max_length=120, help_text=_("Who pays. A new name makes a new client.")
    )
    time_zone = forms.ChoiceField(label=_("Time zone"), choices=time_zone_choices)
    units = forms.ChoiceField(label=_("Units"), choices=Units.choices)

    class Meta:
        model = Property
        fields = ["code", "address", "kind", "soil", "time_zone", "units", "records_since"]
        widgets = {"records_since": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        error_messages = {"code": {"unique": _("A property of that name is registered already.")}}

    field_order = ["code", "client_name", "address", "kind", "soil", "time_zone", "units"]

    def clean_client_name(self) -> str:
        """Fold stray spaces, so that one client does not become two."""
        return " ".join(str(self.cleaned_data["client_name"]).split())

    def known_client(self) -> Client | None:
        """Return the client of that name, whatever its capitals, or None."""
        return Client.objects.filter(name__iexact=self.cleaned_data["client_name"]).first()


class ControllerForm(forms.ModelForm):  # type: ignore[type-arg]
    """A controller and, at once, its numbered stations."""

    stations = forms.IntegerField(
        label=_("How many stations?"),
        min_value=0,
        max_value=400,
        initial=12,
        help_text=_("They are numbered from 1. Names and areas can follow from a file."),
    )
    wiring = forms.ChoiceField(label=_("Wiring"), choices=Wiring.choices)
    central = forms.ChoiceField(label=_("Does central control reach it?"), choices=Central.choices)
    since = forms.DateField(
        label=_("Since"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_("Needed when the link is lost: the first day without it."),
    )

    class Meta:
        model = Controller
        fields = ["name", "wiring", "central"]

    field_order = ["name", "stations", "wiring", "central", "since"]

    def __init__(self, *args: Any, place: Property, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.property = place

    def clean_since(self) -> date | None:
        """Refuse a day that is still to come: nothing is off central from tomorrow on."""
        since: date | None = self.cleaned_data["since"]
        if since is not None and since > today_at(self.instance.property):
            raise forms.ValidationError(_("This day is still to come."))
        return since

    def clean(self) -> dict[str, object]:
        """A lost link needs its first day; a name is used once per property."""
        data = super().clean() or {}
        needs_day = data.get("central") == Central.LINK_LOST and "since" not in self.errors
        if needs_day and not data.get("since"):
            self.add_error("since", _("Enter the first day without the link."))
        taken = Controller.objects.filter(
            property=self.instance.property, name=data.get("name", "")
        )
        if taken.exists():
            self.add_error("name", _("This property has a controller of that name already."))
        return data


# SQLite refuses to look for a text of 50,000 bytes; nobody types one.
LONGEST_TEXT = 200


class ListFilter(django_filters.FilterSet):
    """A filter row: free text over the fields that people know a thing by."""

    text_fields: tuple[str, ...] = ()

    q = django_filters.CharFilter(
        method="with_text",
        label=_("Text"),
        widget=forms.TextInput(
            attrs={"type": "search", "autocomplete": "off", "maxlength": LONGEST_TEXT}
        ),
    )

    def with_text(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        """Keep rows in which every word of the text occurs somewhere."""
        for word in value[:LONGEST_TEXT].split():
            rows = rows.filter(self.word(word))
        return rows

    def word(self, word: str) -> Q:
        """Return the condition for one word; "A:7" means station 7 of controller A."""
        condition = Q()
        for name in self.text_fields:
            condition |= Q(**{f"{name}__icontains": word})
        return condition


class PropertyFilter(ListFilter):
    """Properties by text."""

    text_fields = ("code", "client__name", "address", "kind")

    class Meta:
        model = Property
        fields: list[str] = []


class ControllerFilter(ListFilter):
    """Controllers by text and link."""

    text_fields = ("name", "property__code")
    central = django_filters.ChoiceFilter(
        label=_("Central"), choices=Central.choices, empty_label=_("all")
    )
    wiring = django_filters.ChoiceFilter(
        label=_("Wiring"), choices=Wiring.choices, empty_label=_("all")
    )

    class Meta:
        model = Controller
        fields: list[str] = []


def station_word(word: str, prefix: str = "") -> Q:
    """Return the condition for one word about a station; "A:7" names controller and number."""
    controller, colon, number = word.rpartition(":")
    if colon and number.isdecimal() and controller:
        # Of "North gate:3" the word "gate:3" comes here, and "North" as a word of its own.
        named = Q(**{f"{prefix}controller__name__iexact": controller}) | Q(
            **{f"{prefix}controller__name__iendswith": f" {controller}"}
        )
        return named & Q(**{f"{prefix}number": number})
    condition = Q()
    for known_by in ("name", "controller__name", "controller__property__code"):
        condition |= Q(**{f"{prefix}{known_by}__icontains": word})
    if word.isdecimal():
        condition |= Q(**{f"{prefix}number": word})
    return condition


class StationFilter(ListFilter):
    """Stations by text, kind and reason off central control."""

    reason = django_filters.ChoiceFilter(
        label=_("Off central because"),
        choices=[("any", _("any reason")), *REASON_CHOICES],
        empty_label=_("all stations"),
        method="with_reason",
    )
    kind = django_filters.ChoiceFilter(
        label=_("Kind"), choices=StationKind.choices, empty_label=_("all")
    )

    class Meta:
        model = Station
        fields: list[str] = []

    def word(self, word: str) -> Q:
        """Match names, properties, numbers and "controller:number"."""
        return station_word(word)

    def with_reason(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        """Keep stations that are off central control, for one reason or any."""
        if value == "any":
            return rows.filter(reason_off__isnull=False)
        return rows.filter(reason_off=value)


class StopgapFilter(ListFilter):
    """Stopgaps by text, kind, reason and whether they still stand."""

    kind = django_filters.ChoiceFilter(
        label=_("Kind"), choices=StopgapKind.choices, empty_label=_("all")
    )
    reason = django_filters.ChoiceFilter(
        label=_("Reason"), choices=REASON_CHOICES, empty_label=_("all")
    )
    standing = django_filters.ChoiceFilter(
        label=_("Standing"),
        choices=[("yes", _("still there")), ("no", _("removed"))],
        empty_label=_("all"),
        method="with_standing",
    )

    class Meta:
        model = Stopgap
        fields: list[str] = []

    def word(self, word: str) -> Q:
        """Match what a station or a device is known by."""
        return station_word(word, "station__") | Q(device__name__icontains=word)

    def with_standing(self, rows: QuerySet[Stopgap], _name: str, value: str) -> QuerySet[Stopgap]:
        """Keep open stopgaps, or ended ones."""
        return rows.filter(removed_on__isnull=value == "yes")


class PointFilter(ListFilter):
    """Points by text and kind."""

    text_fields = ("name", "lid", "tie_1", "tie_2", "notes")
    kind = django_filters.ChoiceFilter(
        label=_("Kind"), choices=PointKind.choices, empty_label=_("all")
    )

    class Meta:
        model = Point
        fields: list[str] = []


class LegFilter(ListFilter):
    """Legs by text and cover."""

    text_fields = ("label", "from_point__name", "to_point__name", "notes")
    cover = django_filters.ChoiceFilter(
        label=_("Cover"), choices=Cover.choices, empty_label=_("all")
    )

    class Meta:
        model = Leg
        fields: list[str] = []


class WireFilter(ListFilter):
    """Wires by text and kind."""

    text_fields = ("name", "colour", "cable", "size")
    kind = django_filters.ChoiceFilter(
        label=_("Kind"), choices=WireKind.choices, empty_label=_("all")
    )

    class Meta:
        model = Wire
        fields: list[str] = []


class StandingFilter(StopgapFilter):
    """Stopgaps that stood on a past day: all of them stood then."""

    standing = None

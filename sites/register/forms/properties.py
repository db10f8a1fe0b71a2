"""Forms of the verbs on properties, their tariffs, contacts and standing authority."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from sites.cells.engines.measures import TEMPERATURE
from sites.kernel.forms.fields import (
    DatedForm,
    DayField,
    FactsForm,
    MeasureField,
    time_zone_choices,
)
from sites.models import Contact, ContactRole, PriceUnit, Property, Units


class PropertyFactsForm(FactsForm):
    """The facts of a property."""

    name = forms.CharField(label=_("Full name"), max_length=120, required=False)
    address = forms.CharField(label=_("Address"), max_length=200, required=False)
    kind = forms.CharField(label=_("Kind of place"), max_length=60, required=False)
    soil = forms.CharField(label=_("Soil"), max_length=60, required=False)
    time_zone = forms.ChoiceField(label=_("Time zone"), choices=time_zone_choices)
    units = forms.ChoiceField(label=_("Units"), choices=Units.choices)
    records_since = DayField(
        label=_("Records since"),
        required=False,
        help_text=_("From which day on would a fault here have been written down?"),
    )
    season_start = forms.CharField(
        label=_("Season starts"), max_length=5, required=False, help_text=_("Month-day: 03-15.")
    )
    season_end = forms.CharField(
        label=_("Season ends"),
        max_length=5,
        required=False,
        help_text=_("Month-day. Leave both empty where it waters all year."),
    )
    notice_region = forms.CharField(
        label=_("Notice region"),
        max_length=60,
        required=False,
        help_text=_("Whose utility-marking rules apply here."),
    )
    notes = forms.CharField(
        label=_("Notes"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    value_fields = (
        "name",
        "address",
        "kind",
        "soil",
        "time_zone",
        "units",
        "records_since",
        "season_start",
        "season_end",
        "notice_region",
        "ground_coldest_f",
        "ground_warmest_f",
        "notes",
    )

    def __init__(self, *args: Any, place: Property, **kwargs: Any) -> None:
        known = {name: getattr(place, name) for name in self.value_fields}
        super().__init__(*args, **{**kwargs, "initial": known})
        for name, label in (
            ("ground_coldest_f", _("Coldest ground of the year")),
            ("ground_warmest_f", _("Warmest ground of the year")),
        ):
            self.fields[name] = MeasureField(
                str(label),
                TEMPERATURE,
                place,
                min_value=-60,
                max_value=200,
                help_text=_("At the wires' depth. Empty: as the latitude makes it, assumed."),
            )
        self.order_fields(self.value_fields)


class WarrantyForm(forms.Form):
    """How long a mend is ours to mend again."""

    days = forms.IntegerField(
        label=_("Warranty, days"),
        required=False,
        max_value=36500,
        help_text=_("Leave it empty where nothing is agreed."),
    )


class ClientForm(forms.Form):
    """Who pays from now on."""

    name = forms.CharField(
        label=_("Client"), max_length=120, help_text=_("A new name makes a new client.")
    )
    why = forms.CharField(label=_("Why?"), max_length=80)


class TariffForm(DatedForm):
    """What water and work cost."""

    water_price = forms.DecimalField(
        label=_("Water price"), required=False, min_value=0, max_digits=10, decimal_places=4
    )
    price_unit = forms.ChoiceField(
        label=_("For how much water"), required=False, choices=[("", "—"), *PriceUnit.choices]
    )
    labour_rate = forms.DecimalField(
        label=_("Labour rate per hour"),
        required=False,
        min_value=0,
        max_digits=10,
        decimal_places=2,
    )
    standby_rate = forms.DecimalField(
        label=_("Standby rate per hour"),
        required=False,
        min_value=0,
        max_digits=10,
        decimal_places=2,
    )
    value_fields = ("water_price", "price_unit", "labour_rate", "standby_rate")


class AuthorityForm(forms.Form):
    """What the client allows without being asked."""

    given_by = forms.CharField(label=_("Given by"), max_length=120)
    from_on = DayField(label=_("From"))
    to_on = DayField(label=_("Until"), required=False, help_text=_("Empty: until it is ended."))
    up_to_hours = forms.DecimalField(
        label=_("Up to hours"), required=False, min_value=0, max_digits=6, decimal_places=2
    )
    up_to_amount = forms.DecimalField(
        label=_("Up to money"), required=False, min_value=0, max_digits=10, decimal_places=2
    )
    notes = forms.CharField(
        label=_("Notes"), required=False, widget=forms.Textarea(attrs={"rows": 2})
    )


class ContactForm(FactsForm):
    """A person to call about a property."""

    name = forms.CharField(label=_("Name"), max_length=120)
    role = forms.ChoiceField(
        label=_("Role"), required=False, choices=[("", _("not known")), *ContactRole.choices]
    )
    phone = forms.CharField(
        label=_("Phone"), max_length=40, required=False, widget=forms.TextInput({"type": "tel"})
    )
    email = forms.EmailField(label=_("E-mail"), required=False)
    language = forms.ChoiceField(
        label=_("Language"),
        required=False,
        choices=[("", _("not known")), ("en", _("English")), ("es", _("Spanish"))],
    )
    value_fields = ("name", "role", "phone", "email", "language")

    def __init__(self, *args: Any, contact: Contact | None, **kwargs: Any) -> None:
        known = {name: getattr(contact, name) for name in self.value_fields} if contact else {}
        super().__init__(*args, **{**kwargs, "initial": known})

    def clean_name(self) -> str:
        """Fold stray spaces, so that one person does not become two."""
        return " ".join(str(self.cleaned_data["name"]).split())

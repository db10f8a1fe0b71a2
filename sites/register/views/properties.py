"""Verbs on a property: its facts, its client, what work and water cost."""

from django.core.exceptions import PermissionDenied
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.kernel.access import may_everywhere
from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.dated import lasting
from sites.kernel.views.verb_help import ChosenMixin, DatedMixin, PropertyView
from sites.kernel.views.verb_views import Text
from sites.models import Property, Tariff
from sites.register.forms.properties import ClientForm, PropertyFactsForm, TariffForm, WarrantyForm
from sites.register.services.property_facts import change_client, change_property, set_warranty
from sites.register.services.tariffs import (
    change_tariff,
    correct_tariff,
    take_back_tariff,
    tariff_now,
)


class PropertyEdit(PropertyView):
    """Address, time zone, units, kind, soil, records, season, notice region, notes."""

    verb = change_property
    form_class = PropertyFactsForm
    heading = _("Change %s")


class PropertyWarranty(PropertyView):
    """How long a mend is ours to mend again."""

    verb = set_warranty
    form_class = WarrantyForm
    heading = _("Warranty at %s")
    lead = _("Within these days a new break near our own mend is ours to mend again.")

    def get_initial(self) -> dict[str, object]:
        return {"days": self.row.warranty_days}


class PropertyClient(PropertyView):
    """Another client pays. It names clients, so it asks for the action everywhere."""

    verb = change_client
    form_class = ClientForm
    heading, button = _("Give %s to another client"), _("This client pays now")
    caution = _(
        "People whose grant is for the old client no longer see this property; those of the "
        "new client see it with its whole history."
    )

    def find(self) -> Property:
        place = super().find()
        if not may_everywhere(self.user, self.may_do):
            raise PermissionDenied
        return place

    def get_lead(self) -> Text:
        return _("Now: %s.") % self.row.client

    def get_done(self) -> Text:
        return str(_("%s pays from now on.") % self.result)


class _OfTariff(ChosenMixin[Property], PropertyView):
    def get_rows(self) -> list[Tariff]:
        return lasting(self.row.tariffs)

    def get_usual(self) -> Tariff | None:
        return tariff_now(self.row)


class PropertyTariff(DatedMixin[Property], _OfTariff):
    """What water and work cost: changed from a day, or was wrong."""

    verb = change_tariff
    correct = correct_tariff
    takes_chosen = "tariff"
    form_class = TariffForm
    heading = _("What water and work cost at %s")

    def get_first(self) -> Tariff:
        return Tariff(property=self.row)

    def get_words(self, row: Tariff) -> str:
        return tariff_words(row)

    def get_take_back(self) -> str:
        has_changed = self.usual and self.usual.from_on
        return reverse("sites:property_tariff_back", args=[self.row.ref]) if has_changed else ""


def tariff_words(row: Tariff) -> str:
    """Say in one line what water and work cost."""
    pieces = []
    if row.water_price is not None:
        price = {"price": row.water_price.normalize(), "unit": row.get_price_unit_display()}
        pieces.append(_("water %(price)s per %(unit)s") % price)
    if row.labour_rate is not None:
        pieces.append(_("labour %s per hour") % row.labour_rate)
    if row.standby_rate is not None:
        pieces.append(_("standby %s per hour") % row.standby_rate)
    return ", ".join(pieces) or str(_("nothing known"))


class PropertyTariffBack(_OfTariff):
    """Take the latest change of the tariff back."""

    verb = take_back_tariff
    form_class = WhyForm
    heading, button = _("Take the latest change back"), _("It did not change")
    done = _("Taken back. What held before holds again.")

    def get_lead(self) -> Text:
        return tariff_words(self.usual) if self.usual else ""

    def get_back(self) -> str:
        return reverse("sites:property_tariff", args=[self.row.ref])

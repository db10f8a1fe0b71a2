"""The forms of a claim for damage, and the filter of the list."""

from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from faults.billing.services.claims import ClaimFacts
from faults.models import DamageClaim
from sites.kernel.forms.fields import DayField
from sites.register.forms.lists import ListFilter


class ClaimForm(forms.Form):
    """Who is liable, by which number, and what is stated."""

    liable_party = forms.CharField(label=_("Liable party"), max_length=120)
    claim_number = forms.CharField(label=_("Claim number"), max_length=60, required=False)
    statement = forms.CharField(
        label=_("Statement"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text=_("What was done, by whom, who saw it. Facts only."),
    )
    made_on = DayField(label=_("Claimed on"))

    def facts(self) -> ClaimFacts:
        """Return what was filled in."""
        return ClaimFacts(**self.cleaned_data)


class PaidForm(forms.Form):
    """The day on which it was paid."""

    paid_on = DayField(label=_("Paid on"))


class ClaimFilter(ListFilter):
    """Claims by text, and whether they are paid."""

    text_fields = ("liable_party", "claim_number", "fault__key", "fault__property__code")

    state = django_filters.ChoiceFilter(
        label=_("State"),
        choices=[("unpaid", _("not paid")), ("paid", _("paid")), ("dropped", _("dropped"))],
        empty_label=_("all"),
        method="with_state",
    )

    class Meta:
        model = DamageClaim
        fields: list[str] = []

    def with_state(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        """Keep those that are not paid, that are, or that were dropped."""
        if value == "dropped":
            return rows.filter(dropped_on__isnull=False)
        return rows.filter(dropped_on__isnull=True, paid_on__isnull=value == "unpaid")

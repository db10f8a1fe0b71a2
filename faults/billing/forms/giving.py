"""The forms of a batch, of an order number, and the filters of the lists of billing."""

from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from faults.models import BatchLine, BookBatch
from faults.work.forms.job_filters import JobLineFilter
from sites.kernel.forms.fields import DayField
from sites.register.forms.lists import ListFilter


class GiveForm(forms.Form):
    """The day on which the lines are given."""

    given_on = DayField(label=_("Given to the books on"))


class OrderNumberForm(forms.Form):
    """By which number the client finds the order."""

    order_number = forms.CharField(
        label=_("The client's order number"),
        max_length=60,
        required=False,
        help_text=_("It stands on each line of the bill. Empty: none is known."),
    )


class UnbilledFilter(JobLineFilter):
    """Lines by text, who pays, client, property and days; by fault and order number too."""

    text_fields = (
        "what",
        "job__property__code",
        "job__ref",
        "job__fault__key",
        "job__order_number",
        "job__fault__order_number",
    )


class PenaltyForm(forms.Form):
    """What the client was paid."""

    penalty = forms.DecimalField(
        label=_("Paid to the client"),
        min_value=0,
        max_digits=10,
        decimal_places=2,
        required=False,
        help_text=_("In the currency of the property. Empty: nothing is known to have been paid."),
    )


class BatchFilter(ListFilter):
    """Batches by number, and whether they stand."""

    state = django_filters.ChoiceFilter(
        label=_("State"),
        choices=[("stands", _("given")), ("back", _("taken back"))],
        empty_label=_("all"),
        method="with_state",
    )

    class Meta:
        model = BookBatch
        fields: list[str] = []

    def word(self, word: str) -> Q:
        """Match the number of the batch, and what a line of it names."""
        rows = BatchLine.objects.filter(_named(word)).values("batch")
        found = Q(pk__in=rows)
        return found | Q(pk=int(word)) if word.isdecimal() and len(word) < 10 else found

    def with_state(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        """Keep those that stand, or those that were taken back."""
        return rows.filter(taken_back_on__isnull=value == "stands")


def _named(word: str) -> Q:
    names = ("client", "property", "fault", "order_number")
    found = Q()
    for name in names:
        found |= Q(**{f"{name}__icontains": word})
    return found

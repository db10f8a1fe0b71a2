"""The forms by which a search ends, and a test of it is taken out."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from faults.locating.forms.searches import CHECKS, taps
from faults.models import Break, SearchOutcome


class FinishForm(forms.Form):
    """How a search ended."""

    outcome = taps(gettext_lazy("It ended"), SearchOutcome.choices)
    found = forms.ModelChoiceField(
        label=gettext_lazy("The break that was found"),
        queryset=Break.objects.none(),
        required=False,
        empty_label="—",
    )
    found_outside = forms.ChoiceField(
        label=gettext_lazy("Or the cause outside the wire"),
        required=False,
        choices=[("", "—"), *CHECKS],
    )
    minutes = forms.IntegerField(
        label=gettext_lazy("Working minutes"),
        required=False,
        min_value=0,
        max_value=10_000,
        help_text=gettext_lazy("Leave empty to count from its start to now."),
    )
    why = forms.CharField(label=gettext_lazy("In a few words"), max_length=300, required=False)

    def __init__(self, *args: Any, breaks: Sequence[Break], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["found"]
        field.queryset = Break.objects.filter(pk__in=[one.pk for one in breaks])
        if len(breaks) == 1:
            field.initial = breaks[0]


class VoidTestForm(forms.Form):
    """Why a test is taken out."""

    why = forms.CharField(label=gettext_lazy("Why was it wrong?"), max_length=200)

"""The form of a number that searches assume."""

from django import forms
from django.utils.translation import gettext_lazy


class NumberForm(forms.Form):
    """A number of the company's own, and where it comes from."""

    value = forms.FloatField(
        label=gettext_lazy("Value"), widget=forms.NumberInput(attrs={"step": "any"})
    )
    source = forms.CharField(
        label=gettext_lazy("Where it comes from"),
        max_length=200,
        help_text=gettext_lazy(
            "Own records, a course, a guess: anyone who reads it later will ask."
        ),
    )

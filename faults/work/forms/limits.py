"""Why a job may start although the client's limit is used up."""

from django import forms
from django.utils.translation import gettext_lazy as _


class BeyondForm(forms.Form):
    """Why a job may start although the client's limit is used up."""

    reason = forms.CharField(
        label=_("Why may it start?"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Who was spoken to, and what they said. Kept with your name."),
    )

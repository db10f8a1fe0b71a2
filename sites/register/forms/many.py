"""What is asked once for all rows of the register that are ticked."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import DayField
from sites.models import Stopgap


class EndManyForm(forms.Form):
    """One day and one reason for all of them."""

    on = DayField(
        label=_("Taken away on"),
        help_text=_("Each ticked line alone: tick the other valves of a timer too."),
    )
    why = forms.CharField(
        label=_("Why?"), max_length=200, help_text=_("Such as: mended, moved to a spare wire.")
    )

    def __init__(self, *args: Any, rows: Sequence[Stopgap], today: date, **kwargs: Any) -> None:
        del rows
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = today

"""The period and the grouping of what was earned."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.billing.engines.earning import By
from sites.kernel.forms.fields import DayField

BY_CHOICES = [
    (By.FAULT.value, _("fault")),
    (By.CLIENT.value, _("client")),
    (By.CAUSE.value, _("cause")),
    (By.KIND.value, _("kind of job")),
]
USUAL_DAYS = 365


class EarnedForm(forms.Form):
    """By what, and the first and last day; what is left empty is a year up to today."""

    by = forms.ChoiceField(label=_("By"), choices=BY_CHOICES, required=False)
    since = DayField(label=_("From"), required=False)
    until = DayField(label=_("To"), required=False)

    def __init__(self, data: Any, *, today: date) -> None:
        known = data.copy()
        until = today.isoformat()
        since = (today - timedelta(days=USUAL_DAYS)).isoformat()
        for name, usual in (("by", By.CLIENT.value), ("until", until), ("since", since)):
            if not known.get(name):
                known[name] = usual
        super().__init__(known)

    def clean(self) -> dict[str, Any]:
        """Refuse a period that ends before it begins."""
        data = super().clean() or {}
        since, until = data.get("since"), data.get("until")
        if since is not None and until is not None and until < since:
            self.add_error("until", _("It ends before it begins."))
        return data

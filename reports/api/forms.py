"""What a program sends, checked by the forms of the pages: one rule for both."""

from typing import Any

from django import forms

from faults.cases.forms.report import TriageForm
from sites.kernel.forms.fields import CHANGED
from sites.kernel.services.verbs import UnableToAct
from sites.models import Property
from sites.register.forms.stations import ScheduleForm


class UnableToRead(UnableToAct):
    """A field that the page's own form refuses."""


def schedule_values(sent: dict[str, Any]) -> dict[str, object]:
    """Return a schedule's values as the page's form reads them, days and times above all.

    Raises:
        UnableToRead: naming what cannot be read.
    """
    asked = {**sent, "what": CHANGED, "on": sent["from_on"]}
    form = ScheduleForm(asked, row=None)
    checked(form)
    return form.values()


class ReportSentForm(TriageForm):
    """A report of a program; its stations are named by reference.

    Args:
        place: the property of its stations.
    """

    ohms = forms.FloatField(required=False, min_value=0, max_value=1e7)

    def __init__(self, *args: Any, place: Property, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place = place

    def clean(self) -> dict[str, object]:
        """Turn the name of the other station into that station."""
        data = super().clean() or {}
        self.find_other(self.place, data)
        return data


def checked(form: forms.BaseForm) -> dict[str, Any]:
    """Return what a form takes.

    Raises:
        UnableToRead: naming the first field that it refuses.
    """
    if form.is_valid():
        return form.cleaned_data
    field, errors = next(iter(form.errors.items()))
    raise UnableToRead(" ".join(str(each) for each in errors), field=field)

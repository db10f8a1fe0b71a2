"""What is asked of a goal."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import DayField
from sites.models import Property


class GoalForm(forms.Form):
    """For which properties, which share, by when."""

    place = forms.ChoiceField(label=_("For"), required=False)
    most_percent = forms.FloatField(
        label=_("Off central at most, percent"),
        min_value=0,
        max_value=99.9,
        help_text=_("Of all stations that are meant for central control."),
    )
    by_on = DayField(label=_("By"))
    why = forms.CharField(label=_("Why"), max_length=300, required=False)

    def __init__(self, *args: Any, places: list[Property], may_all: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.by_ref = {place.ref: place for place in places}
        field = self.fields["place"]
        assert isinstance(field, forms.ChoiceField)
        whole = [("", _("all properties"))] if may_all else []
        field.choices = [*whole, *((one.ref, f"{one.name} ({one.code})") for one in places)]

    def goal_place(self) -> Property | None:
        """Return the property, or None for all."""
        return self.by_ref.get(self.cleaned_data["place"])

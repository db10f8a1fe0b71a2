"""What is asked of a goal."""

from django import forms
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import DayField
from sites.kernel.forms.place_or_all import PlaceOrAllForm


class GoalForm(PlaceOrAllForm):
    """For which properties, which share, by when."""

    most_percent = forms.FloatField(
        label=_("Off central at most, percent"),
        min_value=0,
        max_value=99.9,
        help_text=_("Of all stations that are meant for central control."),
    )
    by_on = DayField(label=_("By"))
    why = forms.CharField(label=_("Why"), max_length=300, required=False)

    goal_place = PlaceOrAllForm.chosen_place

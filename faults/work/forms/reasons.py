"""The field for a reason that overcomes a rule of planning."""

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import why_field


def planning_why() -> forms.CharField:
    """Return the field for the reason to plan a job against a rule that a reason overcomes."""
    return why_field(
        label=_("Why, where it goes against a rule"),
        help_text=_(
            "Outside the job's own days or the crew's working time, or by a crew of less skill."
        ),
    )

"""The form of the link between central control and a controller."""

from django import forms
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import CHANGED, WRONG, DayField
from sites.models import Central


class LinkForm(forms.Form):
    """Another state from a day on, or what was wrong about the one that holds."""

    what = forms.ChoiceField(
        label=_("What happened?"),
        widget=forms.RadioSelect,
        choices=[
            (CHANGED, _("The link changed: the state below holds from a day on.")),
            (WRONG, _("The state that is recorded now was wrong, or its first day was.")),
        ],
    )
    state = forms.ChoiceField(label=_("Central control"), choices=Central.choices)
    on = DayField(label=_("First day"), required=False)
    is_exact = forms.BooleanField(
        label=_("This very day is known"),
        required=False,
        help_text=_("Leave it open where it may have begun earlier: ages then say “at least”."),
    )
    notes = forms.CharField(
        label=_("Notes"), required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    why = forms.CharField(
        label=_("What was wrong?"),
        max_length=80,
        required=False,
        help_text=_("In a few words; kept in the history. Only for what was wrong."),
    )

    def clean(self) -> dict[str, object]:
        """A change has its day."""
        data = super().clean() or {}
        if data.get("what") == CHANGED and not data.get("on") and "on" not in self.errors:
            self.add_error("on", _("From which day on?"))
        return data

"""Forms of questions to the client, and of the request to central's operator."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, GroupedForm, why_field
from faults.cases.services.asking import Question
from faults.models import Asked, ClientAnswer, FaultStation

QUESTION = tuple(Question.__dataclass_fields__)


class AskForm(forms.Form):
    """Who was asked for what, up to which limit."""

    asked_of = forms.CharField(label=_("Who was asked?"), max_length=120)
    what = forms.CharField(
        label=_("What was asked?"),
        max_length=300,
        help_text=_("Such as: may we dig at the east walk and mend the wire?"),
    )
    asked_on = DayField(label=_("Asked on"))
    up_to_hours = forms.DecimalField(
        label=_("Up to hours"), required=False, max_digits=6, decimal_places=2
    )
    up_to_amount = forms.DecimalField(
        label=_("Up to money"), required=False, max_digits=10, decimal_places=2
    )
    notes = forms.CharField(label=_("Notes"), max_length=300, required=False)

    def question(self) -> Question:
        """Return the question, for the verb."""
        return Question(**{name: self.cleaned_data[name] for name in QUESTION})


class AnswerForm(forms.Form):
    """Yes or no, and when."""

    answer = forms.ChoiceField(
        label=_("What did they say?"), choices=ClientAnswer.choices, widget=forms.RadioSelect
    )
    answered_on = DayField(label=_("On which day?"))
    notes = forms.CharField(label=_("In their words"), max_length=300, required=False)

    def on(self) -> date:
        """Return the day of the answer."""
        day: date = self.cleaned_data["answered_on"]
        return day


class CorrectAskedForm(AskForm):
    """All of a question and its answer, and what was wrong."""

    answer = forms.ChoiceField(
        label=_("Answer"), choices=[("", _("none yet")), *ClientAnswer.choices], required=False
    )
    answered_on = DayField(label=_("Answered on"), required=False)
    why = why_field(required=True, label=_("What was wrong?"))

    def __init__(self, *args: Any, asked: Asked, **kwargs: Any) -> None:
        names = [*QUESTION, "answer", "answered_on"]
        kwargs["initial"] = {name: getattr(asked, name) for name in names}
        super().__init__(*args, **kwargs)

    def values(self) -> dict[str, object]:
        """Return all but the reason."""
        return {name: value for name, value in self.cleaned_data.items() if name != "why"}


class EnableAskedForm(GroupedForm):
    """Which stations central's operator was asked to enable again, and when."""

    stations = forms.MultipleChoiceField(
        label=_("Stations"), required=False, widget=forms.CheckboxSelectMultiple
    )
    on = DayField(label=_("Asked on"))
    takes_back = forms.BooleanField(
        label=_("Nobody was asked after all: take the note back"), required=False
    )

    def __init__(self, *args: Any, rows: Sequence[FaultStation], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = rows
        offered = self.fields["stations"]
        assert isinstance(offered, forms.MultipleChoiceField)
        offered.choices = [(str(row.pk), self._label(row)) for row in rows]
        offered.initial = [str(row.pk) for row in rows]
        if not any(row.enable_asked_on for row in rows):
            del self.fields["takes_back"]

    def _label(self, row: FaultStation) -> str:
        words = f"{row.station} {row.station.name}".strip()
        if row.enable_asked_on:
            asked = _("asked on %s") % row.enable_asked_on.isoformat()
            return f"{words} ({asked})"
        return words

    def rows(self) -> list[FaultStation]:
        """Return the stations that were ticked."""
        ticked = set(self.cleaned_data["stations"])
        return [row for row in self.offered if str(row.pk) in ticked]

"""The client's answer: on the private page and on the telephone."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext_lazy as _

from faults.models import AnswerKind, Quote
from faults.quotes.services.answering import Said
from faults.quotes.services.shown import ShownOption


@dataclass(frozen=True)
class Choice:
    """One thing to choose: its radio button, and the option that it stands for."""

    radio: Any
    option: ShownOption | None


class AnswerForm(forms.Form):
    """One of the options, no, or a question; up to which limit; who says so."""

    choice = forms.ChoiceField(label=_("Your answer"), widget=forms.RadioSelect)
    up_to_amount = forms.DecimalField(
        label=_("Only up to, in money before tax"),
        required=False,
        max_digits=10,
        decimal_places=2,
        help_text=_("Counts all that is done for this fault. Empty: the net sum of the option."),
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )
    up_to_hours = forms.DecimalField(
        label=_("Only up to, man-hours"),
        required=False,
        max_digits=6,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )
    words = forms.CharField(
        label=_("Your question, or a remark"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    also_down = forms.CharField(
        label=_("Does anything else not run?"),
        required=False,
        max_length=300,
        help_text=_("Such as: the lawn by the gate has been dry since Monday."),
    )
    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def __init__(
        self, *args: Any, quote: Quote, options: Sequence[ShownOption], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.quote = quote
        self.options = {each.kind: each for each in options}
        field = self.fields["choice"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            *((kind, each.words) for kind, each in self.options.items()),
            (AnswerKind.NO.value, _("no, none of these")),
            (AnswerKind.QUESTION.value, _("I have a question first")),
        ]

    def said(self) -> Said:
        """Return the answer for the verb."""
        data = self.cleaned_data
        chosen = data["choice"]
        is_option = chosen in self.options
        return Said(
            kind=AnswerKind.YES.value if is_option else chosen,
            name=data["name"],
            option=chosen if is_option else "",
            up_to_hours=data["up_to_hours"] if is_option else None,
            up_to_amount=data["up_to_amount"] if is_option else None,
            words=data["words"],
            also_down=data["also_down"],
        )

    def choices(self) -> Iterator[Choice]:
        """Yield each radio button with the option that stands beside it."""
        for radio in self["choice"]:
            yield Choice(radio, self.options.get(str(radio.data["value"])))

    def others(self) -> list[BoundField]:
        """The fields below the options."""
        names = ("up_to_amount", "up_to_hours", "words", "also_down", "name")
        return [self[name] for name in names]


class TelephoneForm(AnswerForm):
    """The same, as it was said on the telephone."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["choice"].label = _("What did they say?")
        self.fields["words"].label = _("In their words")
        self.fields["name"].label = _("Who said so?")


class SendForm(forms.Form):
    """Who gets the link."""

    sent_to = forms.CharField(label=_("Who gets it?"), max_length=120)

"""The client's answer: on the private page and on the telephone."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.conf import settings
from django.forms.boundfield import BoundField
from django.utils.translation import gettext_lazy as _

from faults.models import AnswerKind, Quote
from faults.quotes.services.answering import Said
from faults.quotes.services.shown import ShownOption
from sites.kernel.services.verbs import UnableToAct
from sites.register.forms.photos import READABLE
from sites.register.services.photos import PreparedPhoto, UnableToKeepPhoto, prepare_photo

CHOOSE_AGAIN = _("Choose the photo again: it was not kept.")


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
    # A plain file field: a picture is opened once, by the service, which limits how.
    photo = forms.FileField(
        label=_("A photo of it"),
        required=False,
        widget=forms.FileInput(attrs={"accept": READABLE}),
        help_text=_("JPEG, PNG or WebP, at most 15 MB. Where it was taken is not kept."),
    )
    name = forms.CharField(
        label=_("Your name (needed)"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def __init__(
        self, *args: Any, quote: Quote, options: Sequence[ShownOption], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.quote = quote
        self.prepared: PreparedPhoto | None = None
        self.options = {each.kind: each for each in options}
        field = self.fields["choice"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            *((kind, each.words) for kind, each in self.options.items()),
            (AnswerKind.NO.value, _("no, none of these")),
            (AnswerKind.QUESTION.value, _("I have a question first")),
        ]

    def clean(self) -> dict[str, Any]:
        """Read the photo; a browser gives no file a second time, so that is said."""
        data: dict[str, Any] = super().clean() or {}
        file = data.get("photo")
        if file and self.errors:
            self.add_error("photo", CHOOSE_AGAIN)
        elif file:
            try:
                self.prepared = prepare_photo(file, keep_position=False)
            except UnableToKeepPhoto as refusal:
                self.add_error("photo", str(refusal))
        return data

    def refuse(self, refusal: UnableToAct) -> None:
        """Say why it was not kept, and that its photo has to be chosen again."""
        self.add_error(refusal.field if refusal.field in self.fields else None, str(refusal))
        if self.prepared is not None and refusal.field != "photo":
            self.add_error("photo", CHOOSE_AGAIN)

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
            photo=self.prepared,
        )

    def choices(self) -> Iterator[Choice]:
        """Yield each radio button with the option that stands beside it."""
        for radio in self["choice"]:
            yield Choice(radio, self.options.get(str(radio.data["value"])))

    def others(self) -> list[BoundField]:
        """The fields below the options."""
        names = ("name", "up_to_amount", "up_to_hours", "words", "also_down", "photo")
        return [self[name] for name in names if name in self.fields]


class TelephoneForm(AnswerForm):
    """The same, as it was said on the telephone."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["choice"].label = _("What did they say?")
        self.fields["words"].label = _("In their words")
        self.fields["name"].label = _("Who said so?")
        del self.fields["photo"]


class SendForm(forms.Form):
    """Who gets the link, and whether we mail it."""

    sent_to = forms.CharField(label=_("Who gets it?"), max_length=120)
    mail_to = forms.EmailField(
        label=_("Mail it to"),
        required=False,
        max_length=254,
        help_text=_("Empty: you copy the address on the next page and send it yourself."),
    )
    language = forms.ChoiceField(
        label=_("Language of the mail"), choices=settings.LANGUAGES, required=False
    )

    def clean_language(self) -> str:
        """Without a mail it is not asked."""
        return str(self.cleaned_data["language"] or settings.LANGUAGE_CODE)

"""The form of a promise."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.promises.services.promising import Offer
from faults.promises.services.words import day_words


class PromiseForm(forms.Form):
    """Which of the days that the plan offers, and to whom."""

    offer = forms.ChoiceField(label=_("Which day?"), widget=forms.RadioSelect)
    said_to = forms.CharField(label=_("To whom?"), max_length=120)

    def __init__(self, *args: Any, offers: Sequence[Offer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {f"{each.by_on.isoformat()}/{each.tenths}": each for each in offers}
        field = self.fields["offer"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            (key, day_words(each.by_on, each.tenths)) for key, each in self.offered.items()
        ]

    def clean_offer(self) -> Offer:
        """Return the day itself."""
        return self.offered[self.cleaned_data["offer"]]

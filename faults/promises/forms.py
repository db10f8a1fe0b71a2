"""The form of a promise."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from faults.promises.services.promising import Offer
from faults.promises.services.words import day_words, station_words


class PromiseForm(forms.Form):
    """Which of the days that the plan offers, and to whom."""

    offer = forms.ChoiceField(label=_("Which day?"), widget=forms.RadioSelect)
    said_to = forms.CharField(label=_("To whom?"), max_length=120)

    def __init__(self, *args: Any, offers: Sequence[Offer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {_key(each): each for each in offers}
        field = self.fields["offer"]
        assert isinstance(field, forms.ChoiceField)
        # Where stations have days of their own it has to be said of what each is.
        apart = any(each.station for each in offers)
        field.choices = [(key, _words(each, apart)) for key, each in self.offered.items()]

    def clean_offer(self) -> Offer:
        """Return the day itself."""
        return self.offered[self.cleaned_data["offer"]]


def _key(offer: Offer) -> str:
    station = offer.station.ref if offer.station else "all"
    return f"{station}/{offer.by_on.isoformat()}/{offer.tenths}"


def _words(offer: Offer, is_apart: bool) -> str:
    day = day_words(offer.by_on, offer.tenths)
    if offer.station is not None:
        return gettext("Station %(station)s: %(day)s") % {
            "station": station_words(offer.station),
            "day": day,
        }
    return gettext("All stations: %s") % day if is_apart else day

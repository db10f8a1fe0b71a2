"""Which program is told, of what, and of which properties."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from reports.hooks.services.receivers import BY_EVENT, ReceiverFacts
from reports.models import Receiver
from sites.models import User
from sites.people.forms import LimitedForm


class ReceiverForm(LimitedForm):
    """A program that is told."""

    name = forms.CharField(
        label=_("Which program?"),
        max_length=60,
        help_text=_("So that you know it again: such as “display in the office”."),
    )
    address = forms.CharField(
        label=_("Its address"),
        max_length=500,
        help_text=_("Begins with https://. The one who runs the program tells you."),
        widget=forms.TextInput(attrs={"inputmode": "url", "spellcheck": "false"}),
    )
    kinds = forms.MultipleChoiceField(
        label=_("What is it told of?"),
        choices=[(kind.value, kind.label) for kind in BY_EVENT],
        initial=[kind.value for kind in BY_EVENT],
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Never more than you see yourself."),
    )
    field_order = ["name", "address", "kinds", "client", "place"]

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, user=user, **kwargs)

    def facts(self) -> ReceiverFacts:
        """Return what was filled in."""
        data = self.cleaned_data
        return ReceiverFacts(
            data["name"], data["address"], data["kinds"], data["client"], data["place"]
        )


def filled(receiver: Receiver) -> dict[str, object]:
    """Return what stands in the form of a program that is told already."""
    return {
        "name": receiver.name,
        "address": receiver.address,
        "kinds": sorted(receiver.kind_set()),
        "client": receiver.client,
        "place": receiver.property,
    }

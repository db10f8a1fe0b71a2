"""What is asked of a thing that holds at one property, or at all of them."""

from typing import Any, ClassVar

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from sites.models import Property


class PlaceOrAllForm(forms.Form):
    """For which property; all of them are a choice for who may everywhere.

    `all_words` names all of them.
    """

    all_words: ClassVar[str | Promise] = _("all properties")

    place = forms.ChoiceField(label=_("For"), required=False)

    def __init__(self, *args: Any, places: list[Property], may_all: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.by_ref = {place.ref: place for place in places}
        field = self.fields["place"]
        assert isinstance(field, forms.ChoiceField)
        whole = [("", self.all_words)] if may_all else []
        field.choices = [*whole, *((one.ref, f"{one.name} ({one.code})") for one in places)]

    def chosen_place(self) -> Property | None:
        """Return the property, or None for all."""
        return self.by_ref.get(self.cleaned_data["place"])

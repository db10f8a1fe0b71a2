"""The form that adds a photo to a fault or to one of its breaks."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.models import Break, Fault, Shows
from sites.register.forms.photos import PhotoForm


class FaultPhotoForm(PhotoForm):
    """A photo, of which break it is, and when in the work it was taken."""

    of_break = forms.ChoiceField(label=_("Of which break?"), required=False)
    shows = forms.ChoiceField(
        label=_("It shows"), choices=[("", _("something else")), *Shows.choices], required=False
    )

    field_order = ["camera", "photo", "of_break", "shows", "caption", "keep_position"]

    def __init__(self, *args: Any, fault: Fault, of_break: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = fault.breaks.select_related("leg__from_point", "leg__to_point")
        self.breaks = {one.ref: one for one in rows.order_by("running_number")}
        offered = self.fields["of_break"]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = [
            ("", _("of the fault as a whole")),
            *((ref, str(one)) for ref, one in self.breaks.items()),
        ]
        offered.initial = of_break if of_break in self.breaks else next(iter(self.breaks), "")

    def clean_of_break(self) -> Break | None:
        """Return the break that the photo is of, or None."""
        return self.breaks.get(self.cleaned_data["of_break"])

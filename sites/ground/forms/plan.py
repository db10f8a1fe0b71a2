"""Forms of a property's plan picture: the file, its scale, and a point's place on it."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from sites.cells.engines.units import FT_PER_M
from sites.models import PlanPicture, Point, Property, Units
from sites.register.forms.photos import READABLE


class PlanPictureForm(forms.Form):
    """The file of a plan."""

    photo = forms.FileField(
        label=_("Plan picture"),
        widget=forms.FileInput(attrs={"accept": READABLE}),
        help_text=_(
            "A drawing or an air photo that you may use, as JPEG, PNG or WebP, at most 15 MB. "
            "Of a plan on paper, take a photo from straight above."
        ),
    )


def pixel_field(label: Any) -> forms.FloatField:
    """Return a field for one number of a place on the picture."""
    return forms.FloatField(
        label=label, min_value=0, widget=forms.NumberInput(attrs={"step": "any"})
    )


class ScaleForm(forms.Form):
    """Two places on the picture and how far apart they are in the ground."""

    first_x = pixel_field(_("First place, pixels from the left"))
    first_y = pixel_field(_("First place, pixels from the top"))
    second_x = pixel_field(_("Second place, pixels from the left"))
    second_y = pixel_field(_("Second place, pixels from the top"))
    distance = forms.FloatField(widget=forms.NumberInput(attrs={"step": "any"}))

    def __init__(self, *args: Any, place: Property, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.ft = float(FT_PER_M) if place.units == Units.METRIC else 1.0
        self.fields["distance"].label = (
            _("Distance between them, m")
            if place.units == Units.METRIC
            else _("Distance between them, ft")
        )

    @classmethod
    def known(cls, picture: PlanPicture, place: Property) -> dict[str, object]:
        """Return what the form begins with."""
        ft = float(FT_PER_M) if place.units == Units.METRIC else 1.0
        return {
            "first_x": picture.first_x_px,
            "first_y": picture.first_y_px,
            "second_x": picture.second_x_px,
            "second_y": picture.second_y_px,
            "distance": round(picture.distance_ft / ft, 3) if picture.distance_ft else None,
        }

    def clean_distance(self) -> float:
        """Return feet, whatever the property's units."""
        return float(self.cleaned_data["distance"]) * self.ft


class PlacePointForm(forms.Form):
    """A point and where it stands on the picture."""

    point = forms.ChoiceField(label=_("Point"))
    x = pixel_field(_("Pixels from the left"))
    y = pixel_field(_("Pixels from the top"))

    def __init__(self, *args: Any, points: Sequence[Point], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.by_ref = {point.ref: point for point in points}
        waiting = [point for point in points if point.plan_x_px is None]
        placed = [point for point in points if point.plan_x_px is not None]
        groups = [(_("not yet placed"), waiting), (_("placed already: move it"), placed)]
        field = self.fields["point"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [
            (name, [(point.ref, point.name) for point in group]) for name, group in groups if group
        ]

    def clean_point(self) -> Point:
        """Return the point itself."""
        return self.by_ref[self.cleaned_data["point"]]

"""Forms about soaking: what to wet and with what, and the note that it was done."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, depth_field
from faults.models import Job
from faults.work.engines.soak import SoakRequest, Texture
from faults.work.services.soaking import TEXTURE_WORDS
from sites.cells.engines.units import IN_PER_CM, SQFT_PER_M2
from sites.models import Property, Units


class SoakForm(forms.Form):
    """The soil, the depth, what is missing, the sprinklers, the strip."""

    texture = forms.ChoiceField(
        label=_("Soil"),
        choices=[(each.value, words) for each, words in TEXTURE_WORDS.items()],
    )
    share_missing = forms.IntegerField(
        label=_("Dry by, percent"),
        min_value=0,
        max_value=100,
        help_text=_("How much of the water that the soil can hold is missing."),
    )
    rate = forms.FloatField(min_value=0.01, max_value=100)
    efficiency = forms.IntegerField(
        label=_("Of the water that is run, percent that stays in the soil"),
        min_value=1,
        max_value=100,
    )
    area = forms.FloatField(min_value=0.1, max_value=1e6)
    dig_on = DayField(label=_("To work on"))

    field_order = ["texture", "depth", "share_missing", "rate", "efficiency", "area", "dig_on"]

    def __init__(self, *args: Any, place: Property, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        is_metric = place.units == Units.METRIC
        # Stored in inches and square feet, asked in the property's units.
        self.in_per_unit = float(IN_PER_CM) / 10 if is_metric else 1.0
        self.sqft_per_unit = float(SQFT_PER_M2) if is_metric else 1.0
        self.fields["depth"] = depth_field(
            place, _("Down to the cable at"), required=True, min_value=1, max_value=240
        )
        self.fields["rate"].label = (
            _("Sprinklers give, mm an hour") if is_metric else _("Sprinklers give, inches an hour")
        )
        self.fields["area"].label = (
            _("Ground to wet, square metres") if is_metric else _("Ground to wet, square feet")
        )
        self.order_fields(self.field_order)

    def wanted(self) -> SoakRequest:
        """Return what to wet, for the engine."""
        data = self.cleaned_data
        return SoakRequest(
            texture=Texture(data["texture"]),
            depth_in=data["depth"],
            share_missing=data["share_missing"] / 100,
            efficiency=data["efficiency"] / 100,
            rate_in_per_h=data["rate"] * self.in_per_unit,
            area_sqft=data["area"] * self.sqft_per_unit,
        )


class NoteSoakForm(forms.Form):
    """On which day the ground was soaked, and how deep a rod goes."""

    soaked_on = DayField(label=_("Soaked on"), required=False)

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        kwargs["initial"] = {**kwargs.get("initial", {}), "rod_depth_in": job.rod_depth_in}
        super().__init__(*args, **kwargs)
        self.fields["rod_depth_in"] = depth_field(
            job.property,
            _("A slim rod, pushed by hand, goes down"),
            help_text=_("It moves easily through moist soil and stops at dry."),
        )

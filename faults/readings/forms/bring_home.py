"""The form of a bring-home round: what each loop read."""

from django import forms
from django.utils.translation import gettext_lazy

from faults.models import ReadingKind
from faults.readings.forms.readings import RoundForm
from faults.readings.services.loops import LoopRead
from sites.models import Station

APART = [
    ("", gettext_lazy("not looked")),
    ("open", gettext_lazy("open")),
    ("closed", gettext_lazy("not open")),
]
APART_MEANS = {"open": True, "closed": False}


class LoopsForm(RoundForm):
    """The ohms of each loop, how it was connected, and whether it was open apart."""

    def cells(self, station: Station) -> dict[str, forms.Field]:
        """Return what is asked of each loop."""
        return {
            f"apart_{station.pk}": forms.ChoiceField(
                label=gettext_lazy("Apart"), choices=APART, required=False
            ),
            f"loop_{station.pk}": self.meter(ReadingKind.LOOP),
            f"across_{station.pk}": self.meter(ReadingKind.OHMS),
        }

    def clean(self) -> dict[str, object]:
        """What was said of a loop that was not read would be lost."""
        cleaned = super().clean() or {}
        for station in self.stations:
            said = cleaned.get(f"apart_{station.pk}") or cleaned.get(f"across_{station.pk}")
            if said and cleaned.get(f"loop_{station.pk}") is None and not self._is_wrong(station):
                self.add_error(f"loop_{station.pk}", str(gettext_lazy("What does the meter show?")))
        return cleaned

    def _is_wrong(self, station: Station) -> bool:
        return f"loop_{station.pk}" in self.errors

    def loops(self) -> list[LoopRead]:
        """Return each loop that was read."""
        data = self.cleaned_data
        return [
            LoopRead(
                station,
                data[f"loop_{station.pk}"],
                APART_MEANS.get(data.get(f"apart_{station.pk}", "")),
                data.get(f"across_{station.pk}"),
            )
            for station in self.stations
            if data.get(f"loop_{station.pk}") is not None
        ]

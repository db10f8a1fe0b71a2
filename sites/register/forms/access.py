"""Forms on when a property may be entered."""

from collections.abc import Sequence
from datetime import time, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from sites.kernel.forms.fields import DayField
from sites.models import AccessHours, Blackout
from sites.register.engines.open_hours import WeekHours

WEEKDAYS = (
    _("Monday"),
    _("Tuesday"),
    _("Wednesday"),
    _("Thursday"),
    _("Friday"),
    _("Saturday"),
    _("Sunday"),
)
STRETCHES = 2
ONE_DAY = timedelta(days=1)


class TimeField(forms.TimeField):
    """A time of day, chosen in the browser."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
        super().__init__(**{"widget": widget, "required": False, **kwargs})


class HoursForm(forms.Form):
    """Two stretches for each weekday: before noon and after, where a place closes at noon."""

    def __init__(self, *args: Any, rows: Sequence[AccessHours], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for weekday, name in enumerate(WEEKDAYS):
            own = sorted((row.opens_at, row.closes_at) for row in rows if row.weekday == weekday)
            for number in range(max(STRETCHES, len(own))):
                opens, closes = own[number] if number < len(own) else (None, None)
                again = _(", again") if number else ""
                self.fields[f"opens_{weekday}_{number}"] = TimeField(
                    label=_("%(day)s from%(again)s") % {"day": name, "again": again}, initial=opens
                )
                self.fields[f"closes_{weekday}_{number}"] = TimeField(
                    label=_("%(day)s until%(again)s") % {"day": name, "again": again},
                    initial=closes,
                )

    def weeks(self) -> list[tuple[str, list[object]]]:
        """Return each weekday with its fields."""
        return [
            (
                str(name),
                [self[each] for each in self.fields if each.split("_")[1] == str(weekday)],
            )
            for weekday, name in enumerate(WEEKDAYS)
        ]

    def clean(self) -> dict[str, object]:
        """Both ends or none, and the end after the beginning."""
        data: dict[str, Any] = super().clean() or {}
        for name in [each for each in self.fields if each.startswith("opens_")]:
            until = name.replace("opens_", "closes_")
            opens, closes = data.get(name), data.get(until)
            if (opens is None) != (closes is None) and not self.errors.get(name):
                self.add_error(until, _("Enter both times, or none."))
            elif opens is not None and closes is not None and closes <= opens:
                self.add_error(until, _("It closes before it opens. Correct a time."))
        return data

    def hours(self) -> list[WeekHours]:
        """Return the hours that were filled in."""
        found = []
        for name in [each for each in self.fields if each.startswith("opens_")]:
            opens: time | None = self.cleaned_data[name]
            closes: time | None = self.cleaned_data[name.replace("opens_", "closes_")]
            if opens is not None and closes is not None:
                found.append(WeekHours(int(name.split("_")[1]), opens, closes))
        return found


class BlackoutForm(forms.Form):
    """Days on which nobody may work; people think in first and last day."""

    from_on = DayField(label=_("First day"))
    last_on = DayField(label=_("Last day"), help_text=_("People may work again on the next day."))
    why = forms.CharField(
        label=_("Why?"), max_length=120, help_text=_("Such as: a wedding on the lawn.")
    )

    def __init__(self, *args: Any, blackout: Blackout | None = None, **kwargs: Any) -> None:
        if blackout is not None:
            kwargs["initial"] = {
                "from_on": blackout.from_on,
                "last_on": blackout.to_on - ONE_DAY,
                "why": blackout.why,
            }
        super().__init__(*args, **kwargs)

    def values(self) -> dict[str, object]:
        """Return the days as they are kept, half-open."""
        data = self.cleaned_data
        return {
            "from_on": data["from_on"],
            "to_on": data["last_on"] + ONE_DAY,
            "why": data["why"],
        }

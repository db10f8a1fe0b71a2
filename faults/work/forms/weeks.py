"""Forms of working time: the weekdays of a crew or a person, and days on which one is away."""

from collections.abc import Sequence
from datetime import date, time, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, TimeField, why_field
from faults.models import AwayFor, WorkDay

WEEKDAYS = (
    _("Monday"),
    _("Tuesday"),
    _("Wednesday"),
    _("Thursday"),
    _("Friday"),
    _("Saturday"),
    _("Sunday"),
)


class WeekForm(forms.Form):
    """A tick for each weekday, and hours and a break where they differ from the usual ones."""

    def __init__(self, *args: Any, rows: Sequence[WorkDay], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = {row.weekday: row for row in rows}
        for weekday, name in enumerate(WEEKDAYS):
            row = known.get(weekday)
            self.fields[f"works_{weekday}"] = forms.BooleanField(
                label=_("Works on %s") % name, required=False, initial=row is not None
            )
            for part, label, value in (
                ("from", _("from"), row and row.starts_at),
                ("until", _("until"), row and row.ends_at),
                ("break_from", _("break from"), row and row.break_from),
                ("break_to", _("break until"), row and row.break_to),
            ):
                self.fields[f"{part}_{weekday}"] = TimeField(
                    label=_("%(day)s %(part)s") % {"day": name, "part": label},
                    required=False,
                    initial=value,
                )

    def weeks(self) -> list[tuple[str, list[object]]]:
        """Return each weekday with its fields."""
        return [
            (
                str(name),
                [
                    self[f"{part}_{weekday}"]
                    for part in ("works", "from", "until", "break_from", "break_to")
                ],
            )
            for weekday, name in enumerate(WEEKDAYS)
        ]

    def clean(self) -> dict[str, object]:
        """Both hours or none, in their order, and only on a day that is worked."""
        data: dict[str, Any] = super().clean() or {}
        for weekday in range(len(WEEKDAYS)):
            for first, last in (("from", "until"), ("break_from", "break_to")):
                self._both(data, weekday, first, last)
        return data

    def _both(self, data: dict[str, Any], weekday: int, first: str, last: str) -> None:
        begins, ends = data.get(f"{first}_{weekday}"), data.get(f"{last}_{weekday}")
        until, works = f"{last}_{weekday}", f"works_{weekday}"
        if (begins is None) != (ends is None) and not self.errors.get(f"{first}_{weekday}"):
            self.add_error(until, _("Enter both times, or none."))
        elif begins is not None and ends is not None and ends <= begins:
            self.add_error(until, _("It must end after it begins."))
        elif begins is not None and not data.get(works) and works not in self.errors:
            self.add_error(works, _("Tick the day too, or take its hours out."))

    def week(self) -> dict[int, tuple[time, time] | None]:
        """Return the hours of each day that is worked."""
        found: dict[int, tuple[time, time] | None] = {}
        for weekday in range(len(WEEKDAYS)):
            if self.cleaned_data[f"works_{weekday}"]:
                begins: time | None = self.cleaned_data[f"from_{weekday}"]
                ends: time | None = self.cleaned_data[f"until_{weekday}"]
                found[weekday] = (begins, ends) if begins and ends else None
        return found

    def breaks(self) -> dict[int, tuple[time, time]]:
        """Return the break of each day that has one of its own."""
        return {
            weekday: (data[f"break_from_{weekday}"], data[f"break_to_{weekday}"])
            for data in [self.cleaned_data]
            for weekday in range(len(WEEKDAYS))
            if data[f"works_{weekday}"] and data[f"break_from_{weekday}"]
        }


class PersonAwayForm(forms.Form):
    """Why a person is not there, and the first and the last day of it."""

    kind = forms.ChoiceField(label=_("Why"), choices=AwayFor.choices)
    from_on = DayField(label=_("First day away"))
    last_on = DayField(label=_("Last day away"))
    why = why_field(label=_("Note"))

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"from_on": today, "last_on": today}, **kwargs})

    def values(self) -> dict[str, object]:
        """Return the days for the verb: the day after the last is not included."""
        data = self.cleaned_data
        to_on = data["last_on"] + timedelta(days=1)
        return {name: data[name] for name in ("kind", "from_on", "why")} | {"to_on": to_on}

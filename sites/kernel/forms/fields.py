"""Fields that the forms of the register's verbs share: days, windows of days, measures."""

import zoneinfo
from collections.abc import Iterator, Sequence
from datetime import date
from functools import cache
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils import timezone
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from sites.cells.engines.days import Unsettled, Window, read_window
from sites.cells.engines.measures import Dimension
from sites.cells.engines.possible_days import EARLIEST, is_possible, latest
from sites.models import Property

CHANGED, WRONG, ENDED = "changed", "wrong", "ended"


class DayField(forms.DateField):
    """A day, chosen in the browser's own calendar and sent as 2026-03-14."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        super().__init__(**{"widget": widget, **kwargs})

    def to_python(self, value: Any) -> date | None:
        """Return the day; a year that cannot be meant is refused."""
        day = super().to_python(value)
        if day is not None:
            refuse_impossible_day(day)
        return day


def refuse_impossible_day(day: date) -> None:
    """Raise the form's error for a day that nobody can mean.

    Raises:
        ValidationError: it lies before 1950 or more than 50 years ahead.
    """
    today = timezone.localdate()
    if not is_possible(day, today):
        raise forms.ValidationError(
            _("Look at the year: enter a day from %(first)s to %(last)s.")
            % {"first": EARLIEST.isoformat(), "last": latest(today).isoformat()}
        )


class WindowField(forms.CharField):
    """A day, or a month or year where no more is known; clean data are its first and last day."""

    def __init__(self, *, today: date, **kwargs: Any) -> None:
        self.today = today
        super().__init__(**{"max_length": 30, "required": False, **kwargs})

    def clean(self, value: Any) -> Window | None:
        """Return the window, cut off at today where only a part of it has come."""
        text = super().clean(value)
        if not text:
            return None
        try:
            first, last = read_window(text, order="", today=self.today)
        except Unsettled:
            raise forms.ValidationError(
                _("This is a day in two ways. Write it as 2025-03-04.")
            ) from None
        except ValueError:
            raise forms.ValidationError(
                _("Write a day as 2025-03-04, a month as 2025-03, or a year as 2025.")
            ) from None
        refuse_impossible_day(first)
        return first, last if first == last else min(last, max(first, self.today))

    def prepare_value(self, value: Any) -> Any:
        """Write a window as short as it can be written; what was typed stands as it is."""
        return window_text(value) if isinstance(value, tuple) else value


def window_text(window: Window) -> str:
    """Return a window as it would be typed: a day, a month, or a year."""
    first, last = window
    if first == last:
        return first.isoformat()
    is_whole_year = (first.month, first.day) == (1, 1) and first.year == last.year
    return f"{first:%Y}" if is_whole_year and last.month > 1 else f"{first:%Y-%m}"


class MeasureField(forms.FloatField):
    """A measure in the property's units; clean data are in the stored unit."""

    def __init__(self, label: str, dimension: Dimension, place: Property, **kwargs: Any) -> None:
        self.words = label
        self.dimension, self.unit = dimension, dimension.default(place.units)
        shown = f"{label}, {self.unit.replace('m2', 'm²')}" if self.unit not in ("", "1") else label
        super().__init__(**{"label": shown, "required": False, "min_value": 0, **kwargs})

    @property
    def stored_per_unit(self) -> float:
        """How much of the stored unit one shown unit is, where both begin at the same 0."""
        return self.dimension.to_stored(1.0, self.unit)

    def clean(self, value: Any) -> float | None:
        """Return the value in the stored unit."""
        number: float | None = super().clean(value)
        if number is None:
            return None
        stored = self.dimension.to_stored(number, self.unit)
        if stored > self.dimension.most:
            raise forms.ValidationError(
                _("Look at the number and its unit: %(most)s %(unit)s is the most that can be.")
                % {
                    "most": f"{self.dimension.from_stored(self.dimension.most, self.unit):,.0f}",
                    "unit": self.unit,
                }
            )
        return stored

    def prepare_value(self, value: Any) -> Any:
        """Write a stored value in the property's units; what was typed stands as it is."""
        if isinstance(value, int | float):
            shown = self.dimension.from_stored(value, self.unit)
            return f"{shown:.3f}".rstrip("0").rstrip(".")
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare what is shown, so that rounding is no change."""
        return str(self.prepare_value(initial) or "") != str(data or "")


class FactsForm(forms.Form):
    """A form over facts: what was not touched keeps the stored value, unrounded."""

    value_fields: Sequence[str] = ()

    def clean(self) -> dict[str, Any]:
        """Return the stored value of each field that the user did not change."""
        data = super().clean() or {}
        for name in self.value_fields:
            if name in data and name in self.initial and name not in self.changed_data:
                data[name] = self.initial[name]
        return data

    def values(self) -> dict[str, Any]:
        """Return the facts as the verb takes them."""
        return {name: self.cleaned_data[name] for name in self.value_fields}


class DatedForm(FactsForm):
    """Facts that hold over days: they changed from a day, or they were wrong."""

    what = forms.ChoiceField(label=_("What happened?"), widget=forms.RadioSelect)
    on = DayField(
        label=_("From which day on?"),
        required=False,
        help_text=_("The first day of what is new. Not needed for what was wrong."),
    )
    why = forms.CharField(
        label=_("What was wrong?"),
        required=False,
        max_length=80,
        help_text=_("In a few words; kept in the history. Only for what was wrong."),
    )
    may_end = False

    def __init__(self, *args: Any, row: Any, is_current: bool = True, **kwargs: Any) -> None:
        known = {name: getattr(row, name) for name in self.value_fields} if row else {}
        kwargs["initial"] = {**known, **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        self.row = row
        self.fields["what"].choices = self._choices(row, is_current)  # type: ignore[attr-defined]
        if len(self._choices(row, is_current)) == 1:
            self.fields["what"].initial = self._choices(row, is_current)[0][0]

    def _choices(self, row: Any, is_current: bool) -> list[tuple[str, str]]:
        changed = (CHANGED, _now("It changed: the values below hold from a day on."))
        wrong = (WRONG, _now("It was wrong: put it right for all the days that it holds."))
        ended = (ENDED, _now("It ended: nothing follows it."))
        if row is None:
            first = _now("It was not written down: the values hold as far back as we know.")
            return [(CHANGED, _now("It holds from a day on.")), (WRONG, first)]
        if not is_current:
            return [wrong]
        return [changed, wrong, ended] if self.may_end else [changed, wrong]

    def clean(self) -> dict[str, Any]:
        """Ask for what the choice needs."""
        data = super().clean()
        if data.get("what") in (CHANGED, ENDED) and not data.get("on") and "on" not in self.errors:
            self.add_error("on", _("From which day on?"))
        if data.get("what") == WRONG and not data.get("why"):
            if self.row is None:
                data["why"] = _now("not written down before")
            elif "why" not in self.errors:
                self.add_error("why", _("Say in a few words what was wrong."))
        return data


class GroupedForm(forms.Form):
    """A form whose rarer fields are folded away until they are needed."""

    rare: Sequence[str] = ()

    def common_fields(self) -> Iterator[BoundField]:
        """Yield the fields that are always seen."""
        return (field for field in self.visible_fields() if field.name not in self.rare)

    def rare_fields(self) -> Iterator[BoundField]:
        """Yield the fields that are folded away."""
        return (field for field in self.visible_fields() if field.name in self.rare)

    def is_unfolded(self) -> bool:
        """Whether a rare field holds something, or is wrong."""
        return any(field.errors or field.value() for field in self.rare_fields())


class WhyForm(forms.Form):
    """One reason in a few words."""

    why = forms.CharField(label=_("Why?"), max_length=80)


class OnAndWhyForm(forms.Form):
    """A day and a reason."""

    on = DayField(label=_("From"))
    why = forms.CharField(label=_("Why?"), max_length=80)


@cache
def time_zone_choices() -> list[tuple[str, str]]:
    """Return every time zone that this machine knows, by name."""
    return [(name, name.replace("_", " ")) for name in sorted(zoneinfo.available_timezones())]

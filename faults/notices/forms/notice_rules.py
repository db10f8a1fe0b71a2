"""Forms of notice rules and of sets of closed days."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, Group, GroupedForm
from faults.models import ClosedDay, ClosedDays, LifeFrom, NoticeRule, WaitUnit
from faults.notices.services.closed import countries

DAYS_ONLY = [each for each in WaitUnit.choices if each[0] != WaitUnit.HOUR.value]
WEEKDAYS = [
    ("0", _("Monday")),
    ("1", _("Tuesday")),
    ("2", _("Wednesday")),
    ("3", _("Thursday")),
    ("4", _("Friday")),
    ("5", _("Saturday")),
    ("6", _("Sunday")),
]


def _time(label: Any, **kwargs: Any) -> forms.TimeField:
    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    return forms.TimeField(label=label, widget=widget, **kwargs)


def _count(label: Any, **kwargs: Any) -> forms.IntegerField:
    return forms.IntegerField(label=label, **{"min_value": 1, "max_value": 999, **kwargs})


class RuleForm(GroupedForm):
    """Every field of a rule, in words."""

    region = forms.CharField(
        label=_("Region"),
        max_length=60,
        help_text=_("As properties name it in their facts: such as Alabama."),
    )
    source_url = forms.CharField(
        label=_("Source"),
        max_length=300,
        required=False,
        help_text=_("Where it was read, or who at the centre said it."),
    )
    source_date = DayField(label=_("Read on"), required=False)
    wait_n = _count(_("How long must one wait?"))
    wait_unit = forms.ChoiceField(label=_("Counted in"), choices=WaitUnit.choices)
    count_notice_day = forms.BooleanField(
        label=_("The day of the notice is the first day of the wait"), required=False
    )
    closed_day_starts_next = forms.BooleanField(
        label=_("A notice on a closed day counts as given on the next working day"),
        required=False,
        initial=True,
        help_text=_("Unticked, the count starts on that next day itself: one day sooner."),
    )
    saturday_clears_at = _time(
        _("Hours only: a notice on a Saturday clears on the second working day at"),
        required=False,
        help_text=_("Empty where Saturdays are like Sundays."),
    )
    day_start = _time(_("The centre's day starts at"), initial="07:00")
    day_end = _time(
        _("The centre's day ends at"),
        initial="17:00",
        help_text=_("A notice after it counts as given on the next working day."),
    )
    closed_days = forms.ModelChoiceField(
        label=_("Closed days"),
        queryset=ClosedDays.objects.order_by("name", "pk"),
        required=False,
        empty_label=_("none chosen: weekends only"),
        help_text=_("The set of holidays that the centre keeps."),
    )
    max_ahead_n = _count(_("How far ahead may the start lie, at most?"), required=False)
    max_ahead_unit = forms.ChoiceField(label=_("Counted in"), choices=DAYS_ONLY)
    life_n = _count(
        _("How long does a ticket hold?"),
        required=False,
        help_text=_("Empty where nothing is stated: then only the printed day ends it."),
    )
    life_unit = forms.ChoiceField(label=_("Counted in"), choices=DAYS_ONLY)
    life_from = forms.ChoiceField(
        label=_("Counted from"), choices=LifeFrom.choices, initial=LifeFrom.START
    )
    renew_before_n = _count(
        _("How many days before its last must it be renewed?"), min_value=0, initial=0
    )
    tolerance_in = forms.FloatField(
        label=_("Hand tools within so many inches of a mark"),
        required=False,
        min_value=1,
        max_value=240,
        help_text=_("Each side of the outside edges of what is marked."),
    )
    needs_positive_response = forms.BooleanField(
        label=_("Every operator must have answered, too"),
        required=False,
        initial=True,
        help_text=_("Leave it ticked where you do not know: it is the careful way."),
    )
    text_note = forms.CharField(
        label=_("Note"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, rule: NoticeRule | None = None, **kwargs: Any) -> None:
        if rule is not None:
            kwargs["initial"] = {name: getattr(rule, name) for name in self.base_fields}
        else:
            usual = {
                "max_ahead_unit": WaitUnit.CALENDAR_DAY.value,
                "life_unit": WaitUnit.CALENDAR_DAY.value,
            }
            kwargs["initial"] = {**usual, **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)

    def grouping(self) -> list[Group]:
        """Where, the wait, the life, what else."""
        wait = ["wait_n", "wait_unit", "count_notice_day", "closed_day_starts_next"]
        centre = ["day_start", "day_end", "closed_days", "saturday_clears_at"]
        life = ["life_n", "life_unit", "life_from", "renew_before_n"]
        ahead = ["max_ahead_n", "max_ahead_unit"]
        rest = ["needs_positive_response", "tolerance_in", "text_note"]
        return [
            (_("Where, and where it was read"), ["region", "source_url", "source_date"]),
            (_("The wait before a dig"), wait),
            (_("The centre's days and hours"), centre),
            (_("How long a ticket holds"), life),
            (_("How far ahead"), ahead),
            (_("What else it asks"), rest),
        ]

    def values(self) -> dict[str, Any]:
        """Return the rule as the verb takes it."""
        return dict(self.cleaned_data)


class ConfirmForm(GroupedForm):
    """On which day the centre was asked."""

    on = DayField(label=_("Asked on"))
    is_asked = forms.BooleanField(
        label=_("I checked this with the one-call centre (call 811) and local law")
    )


class ChangeSetForm(forms.Form):
    """The name of a set, and which weekdays are closed."""

    name = forms.CharField(
        label=_("Name of the set"), max_length=60, help_text=_("Such as: Alabama centre.")
    )
    weekend = forms.MultipleChoiceField(
        label=_("Closed in every week"),
        choices=WEEKDAYS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        initial=["5", "6"],
    )

    def clean_weekend(self) -> str:
        """Write weekdays as a set keeps them: "56"."""
        return "".join(self.cleaned_data["weekend"])


class SetForm(ChangeSetForm):
    """A new set: whose holidays, of which years, and which weekdays are closed."""

    country = forms.ChoiceField(label=_("Country"), initial="US")
    subdivision = forms.CharField(
        label=_("State or region"),
        max_length=8,
        required=False,
        help_text=_("Its code, such as AL or CA. Its own days start unticked: ask the centre."),
    )
    years = forms.CharField(label=_("Years"), max_length=60, help_text=_("Such as 2026, 2027."))

    field_order = ("name", "country", "subdivision", "years", "weekend")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offered = self.fields["country"]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = [(code, code) for code in countries()]

    def clean_subdivision(self) -> str:
        """Codes are in capitals."""
        return str(self.cleaned_data["subdivision"]).strip().upper()

    def clean_years(self) -> list[int]:
        """Read years however they are parted."""
        return read_years(self.cleaned_data["years"])


def read_years(text: str) -> list[int]:
    """Return the years of "2026, 2027".

    Raises:
        ValidationError: something else stands there.
    """
    words = text.replace(",", " ").replace(";", " ").split()
    if not words or not all(word.isascii() and word.isdigit() for word in words):
        raise forms.ValidationError(_("Write years such as 2026, 2027."))
    return sorted({int(word) for word in words})


class YearsForm(forms.Form):
    """More years of a set."""

    years = forms.CharField(label=_("Years"), max_length=60, help_text=_("Such as 2027, 2028."))

    def clean_years(self) -> list[int]:
        """Read years however they are parted."""
        return read_years(self.cleaned_data["years"])


class DayOfSetForm(forms.Form):
    """A day that no library lists."""

    on = DayField(label=_("Day"))
    name = forms.CharField(
        label=_("What day is it?"), max_length=120, help_text=_("Such as: the centre's picnic.")
    )


class TicksForm(forms.Form):
    """One group of ticks for each year of a set."""

    def __init__(self, *args: Any, days: Sequence[ClosedDay], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for year in sorted({day.on.year for day in days}):
            own = [day for day in days if day.on.year == year]
            self.fields[f"closed_{year}"] = forms.MultipleChoiceField(
                label=_("Closed in %s") % year,
                required=False,
                widget=forms.CheckboxSelectMultiple,
                choices=[(str(day.pk), _label(day.on, day.name)) for day in own],
                initial=[str(day.pk) for day in own if day.is_closed],
            )

    def closed(self) -> list[int]:
        """Return the keys of the ticked days."""
        return [int(pk) for ticked in self.cleaned_data.values() for pk in ticked]


def _label(on: date, name: str) -> str:
    return f"{on.isoformat()} {name}"

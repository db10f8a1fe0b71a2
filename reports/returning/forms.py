"""What is asked before a set is chosen."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from reports.returning.services.asking import Asked, season_ends
from sites.models import Property

MOST_HOURS, MOST_PEOPLE = 1000, 12
MOST_YEARS = 3
WATER, MONEY = "water", "money"


class AskForm(forms.Form):
    """Hours, the day until which savings count, and what else counts."""

    hours = forms.FloatField(
        label=_("Crew hours"),
        min_value=0.25,
        max_value=MOST_HOURS,
        initial=16,
        help_text=_("Of one crew: driving, searching, digging, mending and proving."),
    )
    until = forms.DateField(
        label=_("Savings count until"),
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=_(
            "Filled in: the end of the season, or of the next one where little of it is left."
        ),
    )
    place = forms.ChoiceField(label=_("Property"), required=False)
    by = forms.ChoiceField(
        label=_("Weigh by"),
        choices=[(MONEY, _("money: water and visits")), (WATER, _("excess water alone"))],
        initial=MONEY,
    )
    currency = forms.ChoiceField(label=_("Currency"), required=False)
    budget = forms.FloatField(
        label=_("Money at most for the crew"),
        required=False,
        min_value=0,
        help_text=_("Its hours at your labour rate. Empty: no limit."),
    )
    people = forms.IntegerField(
        label=_("People in the crew"), min_value=1, max_value=MOST_PEOPLE, initial=2
    )
    month_worth = forms.FloatField(
        label=_("A month that a station has been off is worth"),
        min_value=0,
        initial=0,
        help_text=_("Money that you set, to bring old cases forward. 0: time off counts nothing."),
    )
    promise_worth = forms.FloatField(
        label=_("A station that has a last day is worth"),
        min_value=0,
        initial=0,
        help_text=_("Money that you set, for a visit with a day in “not after” before that end."),
    )

    def __init__(
        self,
        *args: Any,
        places: list[Property],
        currencies: list[str],
        today: date,
        last: dict[str, Any] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.by_ref = {place.ref: place for place in places}
        named = [(place.ref, f"{place.name} ({place.code})") for place in places]
        self._choices("place", [("", _("all that you see")), *named])
        self._choices("currency", [(each, each) for each in currencies])
        if len(currencies) < 2:
            del self.fields["currency"]
        self.only_currency = currencies[0] if currencies else ""
        self.initial = {"until": season_ends(places, today), **(last or {}), **self.initial}

    def _choices(self, name: str, choices: list[tuple[str, Any]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices

    def clean_until(self) -> date:
        """Refuse a day that is over, or so far that prices and schedules say nothing."""
        day: date = self.cleaned_data["until"]
        if day <= self.today:
            raise forms.ValidationError(_("Give a day to come."))
        if day > self.today + timedelta(days=366 * MOST_YEARS):
            raise forms.ValidationError(_("Give a day within three years."))
        return day

    def asked(self) -> Asked:
        """Return what was filled in; call it once the form is valid."""
        data = self.cleaned_data
        place = self.by_ref.get(data["place"])
        return Asked(
            hours=data["hours"],
            people=data["people"],
            until=data["until"],
            in_water=data["by"] == WATER,
            place=place.pk if place else None,
            budget=data["budget"],
            promise_worth=data["promise_worth"],
            month_worth=data["month_worth"],
            currency=data.get("currency") or self.only_currency,
        )

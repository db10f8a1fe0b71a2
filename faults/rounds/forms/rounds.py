"""Forms of rounds: what for, where, when again, who; and what is asked on the way."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, Group, GroupedForm
from faults.cases.services.naming import UnableToFindStation, find_stations
from faults.models import PURPOSE_CHOICES, Crew, Round, RoundStop, WhyLeft
from faults.models.rounds import MOST_DAYS, REPEATS_CHOICES
from faults.rounds.engines.turns import MOST_EVERY, Repeats, UnreadableRule, every_of, rule_of
from faults.rounds.services.planning import PLAN_AHEAD_DAYS
from faults.rounds.services.told import RoundFacts, StopFacts
from faults.work.forms.sending import crew_words
from faults.work.queries.jobs import crews_to_send
from sites.models import Property

UNIT_CHOICES = [
    ("days", _("days")),
    ("weeks", _("weeks")),
    ("months", _("months")),
    ("years", _("years")),
]


class RoundForm(GroupedForm):
    """All that is said of a round.

    Args:
        places: the properties that the user may plan for.
        stops: those of the round, in order; of a new one, what is offered.
    """

    name = forms.CharField(
        label=_("Name"), max_length=80, help_text=_("Such as: Spring start-up, north side.")
    )
    purpose = forms.ChoiceField(label=_("What for?"), choices=PURPOSE_CHOICES)
    places = forms.CharField(
        label=_("Properties, in the order of going"),
        max_length=40_000,
        help_text=_(
            "One a line. After a colon its stations, where not all are meant: "
            "Larkmoor School: A:1-12, B:3. Take out the lines that do not belong."
        ),
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false"}),
    )
    repeats = forms.ChoiceField(label=_("When does it come back?"), choices=REPEATS_CHOICES)
    starts_on = DayField(
        label=_("First day"),
        help_text=_("The day of a round that comes once; else no turn has its day before this."),
    )
    every = forms.IntegerField(
        label=_("Every so many (only at an interval)"),
        min_value=1,
        max_value=MOST_EVERY,
        required=False,
    )
    unit = forms.ChoiceField(
        label=_("Days, weeks, months or years"), choices=UNIT_CHOICES, initial="months"
    )
    days_before = forms.IntegerField(
        label=_("Begins so many days before its day"),
        min_value=0,
        max_value=MOST_DAYS,
        initial=0,
        help_text=_("Such as 14 for new batteries before shut-down."),
    )
    within_days = forms.IntegerField(
        label=_("To be done within so many days"), min_value=1, max_value=MOST_DAYS, initial=14
    )
    minutes_each = forms.IntegerField(
        label=_("Minutes for each station or timer"),
        min_value=1,
        max_value=480,
        required=False,
        help_text=_("Empty: the minutes of this kind of job for each visit."),
    )
    crew = forms.ChoiceField(
        label=_("Who"),
        required=False,
        help_text=_("Offered first when its visits are sent. Nobody is sent by this alone."),
    )
    notes = forms.CharField(
        label=_("Notes for each visit"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(
        self,
        *args: Any,
        the_round: Round | None,
        places: Sequence[Property],
        stops: Sequence[RoundStop],
        today: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.by_code = {place.code.casefold(): place for place in places}
        crew = the_round.crew if the_round else None
        self.crews = {one.ref: one for one in crews_to_send(on=today, besides=crew)}
        offered = self.fields["crew"]
        assert isinstance(offered, forms.ChoiceField)
        named = [(ref, crew_words(one)) for ref, one in self.crews.items()]
        offered.choices = [("", gettext("nobody in particular")), *named]
        self.fields["starts_on"].initial = today
        if the_round is not None:
            self._known(the_round, stops)

    def _known(self, the_round: Round, stops: Sequence[RoundStop]) -> None:
        for name in RoundFacts.names():
            if name in self.fields:
                self.fields[name].initial = getattr(the_round, name)
        self.fields["crew"].initial = the_round.crew.ref if the_round.crew else ""
        self.fields["places"].initial = "\n".join(stop_line(stop) for stop in stops)
        if the_round.repeats == Repeats.INTERVAL:
            try:
                every, unit = every_of(the_round.rule)
            except UnreadableRule:
                return
            self.fields["every"].initial, self.fields["unit"].initial = every, unit

    def grouping(self) -> list[Group]:
        """What, where, when, who."""
        return [
            (_("What"), ["name", "purpose", "minutes_each"]),
            (_("Where"), ["places"]),
            (_("When"), ["repeats", "starts_on", "every", "unit", "days_before", "within_days"]),
            (_("Who"), ["crew", "notes"]),
        ]

    def clean_places(self) -> list[StopFacts]:
        """Read each line as a property, and stations of it where some are named."""
        lines = [" ".join(line.split()) for line in self.cleaned_data["places"].splitlines()]
        return [self._stop(line) for line in lines if line]

    def _stop(self, line: str) -> StopFacts:
        whole = self.by_code.get(line.casefold())
        if whole is not None:
            return StopFacts(whole)
        code, _colon, named = line.partition(":")
        place = self.by_code.get(code.strip().casefold())
        if place is None:
            raise forms.ValidationError(
                gettext("“%s” is no property in care that you may plan for. Write its code.")
                % code.strip()
            )
        if not named.strip():
            return StopFacts(place)
        try:
            return StopFacts(place, tuple(find_stations(place, named)))
        except UnableToFindStation as refusal:
            raise forms.ValidationError(f"{place}: {refusal}") from None

    def clean(self) -> dict[str, Any]:
        """An interval needs its number."""
        data = super().clean() or {}
        is_asked = data.get("repeats") == Repeats.INTERVAL and "every" not in self.errors
        if is_asked and not data.get("every"):
            self.add_error("every", gettext("Every how many? Enter a number from 1 on."))
        return data

    def facts(self) -> RoundFacts:
        """Return what is said, for the verb."""
        data = self.cleaned_data
        known = {name: data[name] for name in RoundFacts.names() if name in data}
        rule = ""
        if data["repeats"] == Repeats.INTERVAL:
            rule = rule_of(data["every"], data["unit"], data["starts_on"])
        return RoundFacts(**{**known, "rule": rule, "crew": self.crews.get(data["crew"])})

    def stops(self) -> list[StopFacts]:
        """Return its properties in order."""
        found: list[StopFacts] = self.cleaned_data["places"]
        return found


def stop_line(stop: RoundStop) -> str:
    """Return a stop as its line of the form: "Larkmoor School: A:1, A:2"."""
    stations = sorted(
        (each.station for each in stop.chosen.all()),
        key=lambda one: (one.controller.name, one.number, one.pk),
    )
    named = ", ".join(f"{one.controller.name}:{one.number}" for one in stations)
    return f"{stop.property.code}: {named}" if named else stop.property.code


class UntilForm(forms.Form):
    """Up to which day visits are planned."""

    until = DayField(label=_("Plan all that begins by"))

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["until"].initial = today + timedelta(days=PLAN_AHEAD_DAYS)


class SendRoundForm(forms.Form):
    """Which crew goes, from which day on."""

    crew = forms.ChoiceField(label=_("Crew"))
    first_day = DayField(label=_("From this day on"))

    def __init__(self, *args: Any, the_round: Round, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.crews: dict[str, Crew] = {
            one.ref: one for one in crews_to_send(on=today, besides=the_round.crew)
        }
        offered = self.fields["crew"]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = [(ref, crew_words(one)) for ref, one in self.crews.items()]
        offered.initial = the_round.crew.ref if the_round.crew else None
        self.fields["first_day"].initial = today + timedelta(days=1)

    def values(self) -> dict[str, object]:
        """Return crew and day for the verb."""
        data = self.cleaned_data
        return {"crew": self.crews[data["crew"]], "first_day": data["first_day"]}


class LeaveForm(forms.Form):
    """Which station or timer is left, and why."""

    thing = forms.ChoiceField(label=_("Station or timer"))
    why = forms.ChoiceField(label=_("Why is it left?"), choices=WhyLeft.choices)
    note = forms.CharField(label=_("In a few words"), required=False, max_length=200)
    on = DayField(label=_("On"))

    def __init__(self, *args: Any, things: dict[str, object], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.things = things
        offered = self.fields["thing"]
        assert isinstance(offered, forms.ChoiceField)
        offered.choices = [(key, str(thing)) for key, thing in things.items()]
        self.fields["on"].initial = today

    def values(self) -> dict[str, object]:
        """Return the thing for the verb."""
        data = self.cleaned_data
        return {**data, "thing": self.things[data["thing"]]}


class DatesForm(forms.Form):
    """Of which client and round, from which day to which; empty = a year around today."""

    client = forms.ChoiceField(label=_("Client"), required=False)
    round = forms.ChoiceField(label=_("Round"), required=False)
    since = DayField(label=_("From"), required=False)
    until = DayField(label=_("To"), required=False)

    def __init__(
        self, data: Any, *, clients: Sequence[Any], rounds: Sequence[Round], today: date
    ) -> None:
        known = data.copy()
        usual = {"since": today - timedelta(days=90), "until": today + timedelta(days=365)}
        for name, day in usual.items():
            if not known.get(name):
                known[name] = day.isoformat()
        super().__init__(known)
        self.of = {"client": clients, "round": rounds}
        for name, rows in self.of.items():
            offered = self.fields[name]
            assert isinstance(offered, forms.ChoiceField)
            offered.choices = [("", gettext("all")), *((row.ref, str(row)) for row in rows)]

    def clean(self) -> dict[str, Any]:
        """Refuse a period that ends before it begins."""
        data = super().clean() or {}
        since, until = data.get("since"), data.get("until")
        if since is not None and until is not None and until < since:
            self.add_error("until", gettext("It ends before it begins."))
        return data

    def chosen(self, name: str) -> Any:
        """Return the client or round that was chosen, or None for all."""
        return next((row for row in self.of[name] if row.ref == self.cleaned_data.get(name)), None)

"""Forms of what falls due: note, finish, move, reassign, rules, the daily mail."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.http import urlencode
from django.utils.translation import gettext_lazy as _

from faults.access import handlers_on_any
from faults.cases.forms.fields import DayField, why_field
from faults.due.services.calendars.feed import Narrowed
from faults.due.services.rules import MOST_DAYS, Rule
from faults.due.services.unsubscribing import LAST_HOUR
from faults.models import FollowUp, FollowUpKind, JobKind
from sites.models import Property, User

OPEN, DONE = "open", "done"
MINE, NOBODYS = "mine", "nobody"
WHEN = ("overdue", "today", "coming")


class DueFilter(forms.Form):
    """Which lines of what is due are shown. What cannot be read is left out."""

    q = forms.CharField(
        label=_("Property"),
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    kind = forms.ChoiceField(
        label=_("Kind"), required=False, choices=[("", _("all")), *FollowUpKind.choices]
    )
    whose = forms.ChoiceField(
        label=_("Whose"),
        required=False,
        choices=[("", _("everybody's")), (MINE, _("mine")), (NOBODYS, _("nobody's yet"))],
    )
    show = forms.ChoiceField(
        label=_("Show"),
        required=False,
        choices=[("", _("what is open")), (DONE, _("what was done lately"))],
    )

    when = forms.ChoiceField(
        required=False,
        widget=forms.HiddenInput,
        choices=[("", ""), *((each, each) for each in WHEN)],
    )

    def chosen(self) -> dict[str, str]:
        """Return what was chosen."""
        self.is_valid()
        return {name: self.cleaned_data.get(name, "") for name in self.fields}


class PersonField(forms.ChoiceField):
    """A user who may do what is due at a property, or at one of several, or none in particular."""

    def __init__(self, *places: Property, **kwargs: Any) -> None:
        people = handlers_on_any(places).order_by("first_name", "username", "pk")
        self.people = {str(user.pk): user for user in people}
        named = [(pk, user.get_full_name() or str(user)) for pk, user in self.people.items()]
        choices = [("", _("nobody in particular")), *named]
        super().__init__(choices=choices, required=False, **kwargs)

    def clean(self, value: object) -> User | None:
        """Return the person."""
        return self.people.get(str(super().clean(value)))


class NoteForm(forms.Form):
    """Something to do on a day."""

    what = forms.CharField(
        label=_("What is to be done?"),
        max_length=200,
        help_text=_("Such as: look whether the new splice box has sunk."),
    )
    due_on = DayField(label=_("On which day?"))

    def __init__(self, *args: Any, place: Property, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["due_on"].initial = today + timedelta(days=7)
        self.fields["handed_to"] = PersonField(place, label=_("Who does it?"))


class FinishForm(forms.Form):
    """Done, with a few words if wanted."""

    note = forms.CharField(label=_("Anything to note?"), required=False, max_length=200)


class MoveFollowUpForm(forms.Form):
    """Another day, and why."""

    to = DayField(label=_("To which day?"))
    why = why_field(required=True)

    def __init__(self, *args: Any, row: FollowUp, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["to"].initial = max(row.due_on, today) + timedelta(days=7)


class HandOverForm(forms.Form):
    """To whom."""

    def __init__(self, *args: Any, row: FollowUp, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["to"] = PersonField(
            row.property, label=_("To whom?"), initial=str(row.handed_to_id or "")
        )


class MoveManyForm(forms.Form):
    """One day for all that is ticked, and one reason."""

    to = DayField(label=_("To which day?"))
    why = why_field(required=True)

    def __init__(self, *args: Any, rows: Sequence[FollowUp], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        latest = max((row.due_on for row in rows), default=today)
        self.fields["to"].initial = max(latest, today) + timedelta(days=7)


class HandManyForm(forms.Form):
    """To whom all that is ticked goes."""

    def __init__(self, *args: Any, rows: Sequence[FollowUp], today: date, **kwargs: Any) -> None:
        del today
        super().__init__(*args, **kwargs)
        places = {row.property_id: row.property for row in rows}
        self.fields["to"] = PersonField(*places.values(), label=_("To whom?"))


class RulesForm(forms.Form):
    """Every rule: on or off, and its days."""

    def __init__(self, *args: Any, rules: dict[FollowUpKind, Rule], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rules = rules
        for kind, rule in rules.items():
            name = kind.name.lower()
            self.fields[f"on_{name}"] = forms.BooleanField(
                label=kind.label, required=False, initial=rule.is_on
            )
            self.fields[f"days_{name}"] = forms.IntegerField(
                label=_("Days: %s") % kind.label,
                min_value=0,
                max_value=MOST_DAYS,
                initial=rule.days,
            )

    def lines(self) -> Iterator[tuple[Rule, BoundField, BoundField]]:
        """Yield each rule with its two fields."""
        for kind, rule in self.rules.items():
            name = kind.name.lower()
            yield rule, self[f"on_{name}"], self[f"days_{name}"]

    def wanted(self) -> Iterator[tuple[FollowUpKind, bool, int]]:
        """Yield each kind with what was chosen."""
        for kind in self.rules:
            name = kind.name.lower()
            yield kind, self.cleaned_data[f"on_{name}"], self.cleaned_data[f"days_{name}"]


VISITS, WHAT_IS_DUE = "visits", "due"
FEED_KINDS = [
    (VISITS, _("all visits")),
    (WHAT_IS_DUE, _("all that is due")),
    *JobKind.choices,
    *FollowUpKind.choices,
]


class FeedForm(forms.Form):
    """To what an address of a calendar is narrowed: `kind`, more than once too, and `person`."""

    kind = forms.MultipleChoiceField(
        label=_("Only"),
        choices=FEED_KINDS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked: all visits and all that is due."),
    )
    person = forms.ChoiceField(
        label=_("Of whom"),
        required=False,
        help_text=_("The visits of this person's crews, and what is with this person."),
    )

    def __init__(self, *args: Any, people: Sequence[User], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.people = {str(each.pk): each for each in people}
        offered = self.fields["person"]
        assert isinstance(offered, forms.ChoiceField)
        named = [(pk, each.get_full_name() or str(each)) for pk, each in self.people.items()]
        offered.choices = [("", _("everybody")), *named]

    def narrowed(self) -> Narrowed:
        """Return what the calendar shows."""
        data = self.cleaned_data
        return Narrowed(
            self._of(JobKind.values, VISITS),
            self._of(FollowUpKind.values, WHAT_IS_DUE),
            self.people.get(data["person"]),
        )

    def _of(self, kinds: Sequence[str], all_of_them: str) -> frozenset[str] | None:
        """Return which of these kinds were asked for; None = all."""
        asked = set(self.cleaned_data["kind"])
        if not asked or all_of_them in asked:
            return None
        return frozenset(asked & set(kinds))

    def query(self) -> str:
        """Return what stands behind the question mark; empty where nothing is narrowed."""
        data = self.cleaned_data
        chosen = {name: data[name] for name in ("kind", "person") if data[name]}
        return urlencode(chosen, doseq=True)


class DigestForm(forms.Form):
    """Whether the daily mail is wanted, and when."""

    is_wanted = forms.BooleanField(
        label=_("Send me what is due, every day on which something is"), required=False
    )
    at_hour = forms.TypedChoiceField(
        label=_("Not before"),
        coerce=int,
        choices=[(hour, f"{hour:02d}:00") for hour in range(LAST_HOUR + 1)],
    )

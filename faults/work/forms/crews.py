"""The forms that set up crews, their people and their days away."""

from datetime import date, time, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.fields import DayField, TimeField, why_field
from faults.models import SKILL_CHOICES, ClosedDays, Crew, CrewAway, CrewMember
from faults.work.services.crew_facts import CrewFacts
from sites.models import User

if TYPE_CHECKING:
    # Only the stubs know that a choice of rows is a choice of some type.
    ModelChoiceField = forms.ModelChoiceField[User]
    HolidaysField = forms.ModelChoiceField[ClosedDays]
else:
    ModelChoiceField = forms.ModelChoiceField
    HolidaysField = forms.ModelChoiceField


class PersonField(ModelChoiceField):
    """A field to choose a user, shown by name."""

    def label_from_instance(self, user: Any) -> str:
        """Name the person, and how it signs in."""
        full = user.get_full_name()
        return f"{full} ({user.username})" if full else str(user)


class CrewForm(forms.Form):
    """The crew as a whole."""

    name = forms.CharField(label=_("Name"), max_length=60)
    vehicle = forms.CharField(label=_("Vehicle"), max_length=60, required=False)
    starts_at = TimeField(label=_("Starts at"), initial=time(7))
    ends_at = TimeField(label=_("Back by"), initial=time(15, 30))
    break_from = TimeField(
        label=_("Break from"),
        required=False,
        help_text=_("Lunch. Nothing starts in it, and work that runs into it ends later."),
    )
    break_to = TimeField(label=_("Break until"), required=False)
    second_break_from = TimeField(
        label=_("Second break from"),
        required=False,
        help_text=_(
            "On all days, beside the one above. A weekday or a person may move only that one."
        ),
    )
    second_break_to = TimeField(label=_("Second break until"), required=False)
    overtime_minutes = forms.IntegerField(
        label=_("Overtime, at most, minutes"),
        min_value=1,
        required=False,
        help_text=_(
            "How long it may be back after its hours, where that is worth what it costs. Empty: no "
            "overtime."
        ),
    )
    hour_costs = forms.DecimalField(
        label=_("An ordinary hour of the crew costs"),
        min_value=Decimal("0.01"),
        max_digits=8,
        decimal_places=2,
        required=False,
        help_text=_("With all people in it: against this, overtime is weighed with driving."),
    )
    overtime_hour_costs = forms.DecimalField(
        label=_("An hour of overtime costs"),
        min_value=0,
        max_digits=8,
        decimal_places=2,
        required=False,
    )
    costs_currency = forms.CharField(
        label=_("Currency"),
        max_length=3,
        required=False,
        help_text=_("Three capital letters, such as USD."),
    )
    holidays = HolidaysField(
        label=_("Holidays"),
        queryset=ClosedDays.objects.none(),
        required=False,
        empty_label=_("none kept"),
        help_text=_("The ticked days of a set of closed days. Its weekend does not count here."),
    )
    yard_latitude = forms.FloatField(
        label=_("Yard, latitude"),
        min_value=-90,
        max_value=90,
        required=False,
        help_text=_("Where the vehicle starts, in degrees: drives are estimated from there."),
    )
    yard_longitude = forms.FloatField(
        label=_("Yard, longitude"), min_value=-180, max_value=180, required=False
    )

    def __init__(self, *args: Any, crew: Crew | None = None, **kwargs: Any) -> None:
        known = (
            {name: getattr(crew, name) for name in CrewFacts.__dataclass_fields__} if crew else {}
        )
        super().__init__(*args, **{"initial": known, **kwargs})
        sets = self.fields["holidays"]
        assert isinstance(sets, forms.ModelChoiceField)
        sets.queryset = ClosedDays.objects.order_by("name", "pk")

    def facts(self) -> CrewFacts:
        """Return the cleaned values as the verb's arguments."""
        return CrewFacts(**self.cleaned_data)

    def clean_costs_currency(self) -> str:
        """Return it in capital letters."""
        return str(self.cleaned_data["costs_currency"]).strip().upper()


class OnForm(forms.Form):
    """A day."""

    on = DayField(label=_("From this day on"))

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = today


def _skill() -> forms.TypedChoiceField:
    return forms.TypedChoiceField(label=_("Skill"), choices=SKILL_CHOICES, coerce=int)


class MemberForm(forms.Form):
    """Who joins the crew, with which skill, for which days."""

    user = PersonField(label=_("Who?"), queryset=User.objects.none())
    skill = _skill()
    from_on = DayField(label=_("From"))
    to_on = DayField(
        label=_("Up to, not included"),
        required=False,
        help_text=_("Empty: until somebody ends it."),
    )

    def __init__(self, *args: Any, people: QuerySet[User], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        who = self.fields["user"]
        assert isinstance(who, PersonField)
        who.queryset = people
        self.fields["from_on"].initial = today


class SkillForm(forms.Form):
    """Another skill from a day on."""

    skill = _skill()
    from_on = DayField(label=_("From"))

    def __init__(self, *args: Any, member: CrewMember, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["skill"].initial = member.skill
        self.fields["from_on"].initial = today


class CorrectMemberForm(forms.Form):
    """Corrects the skill or the days of a member of a crew."""

    skill = _skill()
    from_on = DayField(label=_("From"))
    to_on = DayField(label=_("Up to, not included"), required=False)
    why = why_field(required=True, label=_("What was wrong?"))

    def __init__(self, *args: Any, member: CrewMember, **kwargs: Any) -> None:
        known = {name: getattr(member, name) for name in ("skill", "from_on", "to_on")}
        super().__init__(*args, **{"initial": known, **kwargs})


class AwayForm(forms.Form):
    """The first and the last day on which a crew does not work."""

    from_on = DayField(label=_("First day away"))
    last_on = DayField(label=_("Last day away"))
    why = why_field(label=_("Why"), help_text=_("Such as: training, truck in repair."))

    def __init__(
        self, *args: Any, today: date, away: CrewAway | None = None, **kwargs: Any
    ) -> None:
        known = {"from_on": today, "last_on": today}
        if away is not None:
            last = away.to_on - timedelta(days=1)
            known = {"from_on": away.from_on, "last_on": last, "why": away.why}  # type: ignore[dict-item]
        super().__init__(*args, **{"initial": known, **kwargs})

    def values(self) -> dict[str, object]:
        """Return the days for the verb: the day after the last is not included."""
        data = self.cleaned_data
        to_on = data["last_on"] + timedelta(days=1)
        return {"from_on": data["from_on"], "to_on": to_on, "why": data["why"]}

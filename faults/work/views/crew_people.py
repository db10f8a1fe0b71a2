"""Who goes with a crew, with which skill, and the days on which it does not work."""

from django.db.models import Model
from django.http import Http404
from django.utils.translation import gettext_lazy as _

from faults.models import Crew, CrewAway, CrewMember, PersonAway
from faults.work.forms.crews import AwayForm, CorrectMemberForm, MemberForm, OnForm, SkillForm
from faults.work.forms.weeks import PersonAwayForm, WeekForm
from faults.work.queries.jobs import away_for, members_for, people_for_crews
from faults.work.queries.weeks import person_away_for, week_of
from faults.work.services.crews import (
    add_away,
    add_member,
    change_skill,
    correct_away,
    correct_member,
    end_member,
    take_back_away,
)
from faults.work.services.working_weeks import (
    add_person_away,
    set_crew_week,
    set_person_week,
    take_back_person_away,
)
from faults.work.views.crews import CrewView, OfCrewView
from sites.kernel.access import find
from sites.kernel.views.verb_views import Text


class MemberAdd(CrewView):
    """Add a person to a crew."""

    verb = add_member
    form_class = MemberForm
    heading, button = _("Put somebody in %s"), _("Put in")

    def get_form_kwargs(self) -> dict[str, object]:
        return {**super().get_form_kwargs(), "people": people_for_crews()}

    def get_watched(self) -> list[Model]:
        return []

    def get_done(self) -> Text:
        return _("%(who)s goes with %(crew)s.") % {"who": self.result.user, "crew": self.row}


class _OfMember(OfCrewView[CrewMember]):
    takes = "member"

    def find(self) -> CrewMember:
        return find(members_for(self.user, self.may_do), pk=self.kwargs["pk"])

    @property
    def crew(self) -> Crew:
        return self.row.crew

    def get_named(self) -> object:
        return self.row.user


class MemberEnd(_OfMember):
    """Take a person out of a crew."""

    verb = end_member
    form_class = OnForm
    heading, button = _("Take %s out"), _("Take out")
    done = _("%s no longer goes with this crew from that day on.")


class MemberSkill(_OfMember):
    """Change a member's skill from a day on."""

    verb = change_skill
    form_class = SkillForm
    heading, button = _("Change the skill of %s"), _("Change it")
    done = _("The skill is changed from that day on.")


class MemberCorrect(_OfMember):
    """Correct the skill or the days of a member of a crew."""

    verb = correct_member
    form_class = CorrectMemberForm
    heading, button = _("Correct what stands about %s"), _("Correct it")
    done = _("Corrected. History keeps what was there before.")


class AwayAdd(CrewView):
    """Say on which days a crew does not work."""

    verb = add_away
    form_class = AwayForm
    heading, button = _("Days on which %s is away"), _("Keep them")
    done = _("Kept. Jobs that were assigned for those days show a clash: move them.")

    def get_watched(self) -> list[Model]:
        return []


class _OfAway(OfCrewView[CrewAway]):
    takes = "away"

    def find(self) -> CrewAway:
        return find(away_for(self.user, self.may_do), pk=self.kwargs["pk"])

    @property
    def crew(self) -> Crew:
        return self.row.crew


class AwayCorrect(_OfAway):
    """Correct the days away."""

    verb = correct_away
    form_class = AwayForm
    heading, button = _("Correct days away"), _("Correct them")
    done = _("Corrected. History keeps what was there before.")


class AwayTakeBack(_OfAway):
    """Take back that the crew is away."""

    verb = take_back_away
    heading = _("Does the crew work on those days after all?")
    button = _("It works")
    done = _("The crew works on those days.")


class _Week:
    """The page of a week: a tick and hours for each weekday."""

    template_name = "sites/properties/access_hours.html"
    button: Text = _("Keep this week")
    done: Text = _("Kept. Jobs outside these days and hours show a clash: move them.")


class CrewWeek(_Week, CrewView):
    """Set on which weekdays a crew works."""

    verb = set_crew_week
    heading = _("On which days does %s work?")
    lead = _("A day without hours or break of its own has the usual ones of the crew.")

    def get_form(self) -> WeekForm:
        return WeekForm(self.posted, rows=week_of(crew=self.row))


class MemberWeek(_Week, _OfMember):
    """Set on which weekdays a person works."""

    verb = set_person_week
    heading = _("On which days does %s work?")
    lead = _(
        "With no day ticked the person works whenever the crew does. It holds in whichever crew. "
        "The crew has its break while nobody of it works."
    )

    def get_form(self) -> WeekForm:
        return WeekForm(self.posted, rows=week_of(user=self.row.user))


class MemberAway(_OfMember):
    """Say that a person is ill or away."""

    verb = add_person_away
    form_class = PersonAwayForm
    heading, button = _("%s is not there"), _("Keep it")
    lead = _(
        "The crew is smaller on those days, and perhaps less skilled. Its jobs stay; below them "
        "stands who could take them."
    )
    done = _("Kept. The crew's jobs of those days say who could take them.")

    def get_watched(self) -> list[Model]:
        return []


class PersonAwayTakeBack(OfCrewView[PersonAway]):
    """Take back that a person is away."""

    verb = take_back_person_away
    takes = "away"
    heading, button = _("Is %s there on those days after all?"), _("There after all")
    done = _("The person works on those days.")

    def find(self) -> PersonAway:
        return find(person_away_for(self.user, self.may_do), pk=self.kwargs["pk"])

    def get_named(self) -> object:
        return self.row.user

    @property
    def crew(self) -> Crew:
        held = members_for(self.user, self.may_do).filter(user=self.row.user)
        member = held.order_by("-from_on", "-pk").first()
        if member is None:
            raise Http404
        return member.crew

"""Crews: the list, one with its people and days, and the verbs that set them up."""

from typing import TypeVar

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.access import crews_for, may_see_crew_costs
from faults.models import Crew
from faults.work.forms.crews import CrewForm, OnForm
from faults.work.queries.jobs import away_of, coming_jobs_of, crews_listed, members_of
from faults.work.queries.weeks import people_away, week_of
from faults.work.services.clashes import clashes_of
from faults.work.services.crews import add_crew, bring_crew_back, change_crew, retire_crew
from faults.work.services.week_words import week_words
from sites.kernel.access import SignedInRequest, find, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_views import Crumbs, Text, VerbView

Row = TypeVar("Row")


@page_for(Action.SEE_WORK)
def crews(request: SignedInRequest) -> HttpResponse:
    """All crews with who goes with them today."""
    today = timezone.localdate()
    rows = crews_listed(request.user, on=today)
    members = members_of(rows)
    context = {
        "rows": [
            (crew, [m for m in members[crew.pk] if m.from_on <= today < (m.to_on or today.max)])
            for crew in rows
        ],
        "may_set_up": may_everywhere(request.user, Action.SET_UP_WORK),
    }
    return render(request, "faults/crews/crews.html", context)


@page_for(Action.SEE_WORK)
def crew(request: SignedInRequest, ref: str) -> HttpResponse:
    """One crew: its people with their skill, its days away, what it has to do."""
    one = find(crews_for(request.user), ref=ref)
    today, may_see_costs = timezone.localdate(), may_see_crew_costs(request.user)
    coming = coming_jobs_of(request.user, one, today=today)
    clashes, members = clashes_of(coming, today=today), members_of([one])[one.pk]
    context = {
        "crew": one,
        "today": today,
        "week": week_words(week_of(crew=one)),
        "members": members,
        "ill": people_away(members, today=today),
        "away": away_of(one),
        "coming": [(job, clashes.get(job.pk, [])) for job in coming],
        "may_set_up": may_everywhere(request.user, Action.SET_UP_WORK),
        "may_see_costs": may_see_costs,
    }
    if may_everywhere(request.user, Action.SEE_HISTORY):
        context["history"] = history_of(one, for_few=may_see_costs)
    return render(request, "faults/crews/crew.html", context)


def crew_url(one: Crew) -> str:
    """Return the address of a crew's page."""
    return reverse("faults:crew", args=[one.ref])


class OfCrewView(VerbView[Row]):
    """A verb on something of a crew; the page leads back to the crew."""

    @property
    def crew(self) -> Crew:
        """The crew."""
        raise NotImplementedError

    def get_back(self) -> str:
        return crew_url(self.crew)

    def get_crumbs(self) -> Crumbs:
        return [(reverse("faults:crews"), _("Crews")), (crew_url(self.crew), str(self.crew))]


class CrewView(OfCrewView[Crew]):
    """A verb on a crew."""

    takes = "crew"

    @property
    def crew(self) -> Crew:
        """The crew itself."""
        return self.row

    def find(self) -> Crew:
        return find(crews_for(self.user, self.may_do), ref=self.kwargs["ref"])


class CrewAdd(VerbView[None]):
    """Add a crew. It serves every client, so only a role that holds everywhere may."""

    verb = add_crew
    form_class = CrewForm
    heading, button = _("Add a crew"), _("Add it")

    def find(self) -> None:
        if not may_everywhere(self.user, self.may_do):
            raise Http404

    def get_back(self) -> str:
        return reverse("faults:crews")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("Crews"))]

    def get_done(self) -> Text:
        return str(_("%s is added. Now say who goes with it.") % self.result)

    def get_after(self) -> str:
        return crew_url(self.result)


class CrewChange(CrewView):
    """Change name, vehicle, hours or yard."""

    verb = change_crew
    form_class = CrewForm
    heading, button = _("Change %s"), _("Change it")
    done = _("The crew is changed.")


class CrewRetire(CrewView):
    """Retire a crew from a day on."""

    verb = retire_crew
    form_class = OnForm
    heading, button = _("Retire %s"), _("Retire it")
    done = _("%s is retired. It can be brought back.")


class CrewBringBack(CrewView):
    """Bring a retired crew back."""

    verb = bring_crew_back
    heading, button = _("Bring %s back?"), _("Bring it back")
    done = _("%s can be sent again.")

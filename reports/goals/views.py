"""The page of goals, and the forms that set one and take one back."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from reports.goals.forms import GoalForm
from reports.goals.queries import goals_for
from reports.goals.services.setting import set_goal, take_back_goal
from reports.goals.services.standing import forecast_of, standing
from reports.goals.services.words import trusted
from reports.models import Goal
from sites.kernel.access import (
    SignedInRequest,
    actions_anywhere,
    find,
    page_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.place_or_all import PlaceOrAllView
from sites.kernel.views.verb_help import Crumbs
from sites.kernel.views.verb_views import VerbView
from sites.models import Property

MOST_LISTED = 50


@page_for(Action.SEE_RATES)
def goals(request: SignedInRequest) -> HttpResponse:
    """Goals that stand, on or off their path; those that were taken back below."""
    user, today = request.user, timezone.localdate()
    forecast = forecast_of(user)
    mine = set(goals_for(user, Action.SET_GOALS).values_list("pk", flat=True))
    context = {
        "rows": [(one, one.path(today), one.goal.pk in mine) for one in standing(user)],
        "taken_back": goals_for(user).exclude(taken_back_on=None)[:MOST_LISTED],
        "may_set": Action.SET_GOALS in actions_anywhere(user),
        "headline": trusted(forecast) if forecast else "",
    }
    return render(request, "reports/goals/goals.html", context)


class GoalAdd(PlaceOrAllView):
    """Set a goal for a property, or for all."""

    verb = set_goal
    form_class = GoalForm
    heading, button = _("Set a goal"), _("Set it")
    lead = _("A goal that stands there already ends with it. Whether it is on its path is worked "
             "out right after.")  # fmt: skip
    done = _("The goal is set.")

    def get_initial(self) -> dict[str, Any]:
        return {"place": self.request.GET.get("place", "")}

    def get_back(self) -> str:
        return reverse("reports:goals")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("Goals"))]


class GoalTakeBack(VerbView[Goal]):
    """Take a goal back."""

    verb = take_back_goal
    takes = "goal"
    form_class = WhyForm
    heading, button = _("Take the goal for %s back"), _("Take it back")
    lead = _("It stays in the list, with the reason.")
    done = _("Taken back.")

    def find(self) -> Goal:
        return find(goals_for(self.user, self.may_do), ref=self.kwargs["ref"])

    def get_named(self) -> object:
        return self.row.property or _("all properties")

    def get_place(self) -> Property | None:
        return self.row.property

    def get_back(self) -> str:
        return reverse("reports:goals")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("Goals"))]

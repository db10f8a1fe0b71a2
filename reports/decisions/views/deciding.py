"""Decide on a leg, take a decision back, and all that was decided, looked back on."""

from functools import cached_property
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.utils.translation import gettext_lazy as _

from reports.decisions.forms import DecideForm
from reports.decisions.queries import decisions_for
from reports.decisions.services.deciding import Known, decide, take_back_decision
from reports.decisions.services.knowing import Seen, cost_as_kept, known_of, seen_of
from reports.decisions.services.looking_back import looked_back
from reports.hotspots.services.past import Past, past_at
from reports.hotspots.services.renewal_costs import LegCost, cost_words
from reports.hotspots.services.replacing import DEFAULTS
from reports.hotspots.services.words import stands_on
from reports.hotspots.views.hotspot_parts import when_made
from reports.models import Choice, Decision
from reports.summaries.services.summaries import NotMadeYet
from sites.cells.services.shown import share_text
from sites.ground.views.common import LegView
from sites.kernel.access import SignedInRequest, actions_anywhere, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.verb_help import Crumbs
from sites.kernel.views.verb_views import Text, VerbView
from sites.models import Property

MOST_LISTED = 200
_WEIGHED = ("fault_cost", "renewal_cost", *DEFAULTS)


@page_for(Action.SEE_HOTSPOTS)
def decisions(request: SignedInRequest) -> HttpResponse:
    """What was decided on legs, the newest first, with what was expected and what came."""
    rows = list(decisions_for(request.user)[:MOST_LISTED])
    actions = actions_anywhere(request.user)
    looked = looked_back([row for row in rows if row.taken_back_on is None])
    context = {
        "standing": [one for one in looked if one.anew_on is None],
        "anew": [one for one in looked if one.anew_on is not None],
        "taken_back": [row for row in rows if row.taken_back_on is not None],
        "may_decide": Action.DECIDE in actions,
        "priced": {
            row.leg.property_id
            for row in rows
            if may(request.user, Action.SEE_RATES, row.leg.property)
        },
    }
    return render(request, "reports/decisions/decisions.html", context)


@method_decorator(when_made, name="get")
class LegDecide(LegView):
    """Keep what was decided on a leg, with what was known of it."""

    verb = decide
    form_class = DecideForm
    heading, button = _("Decide on leg %s"), _("Keep the decision")
    lead = _("Kept with who, when and why, and with what is known of its faults today.")
    done = _("Kept. It stands under Decisions.")

    @cached_property
    def seen(self) -> Seen | None:
        """The leg among all others; what was typed is kept without it where it is not made yet."""
        try:
            return seen_of(self.row, by=self.user, today=self.today)
        except NotMadeYet:
            if self.request.method == "POST":
                return None
            raise

    @cached_property
    def kept(self) -> LegCost | None:
        """What renewing the leg alone costs, as kept; None too for who may not see prices."""
        if not may(self.user, Action.SEE_RATES, self.row.property):
            return None
        return cost_as_kept(self.seen)

    @cached_property
    def past(self) -> Past | None:
        """What a fault cost so far; None too for who may not see prices."""
        if not may(self.user, Action.SEE_RATES, self.row.property):
            return None
        return past_at(self.row.property, self.user)

    def get_lead(self) -> Text:
        """Say which decision stands already, and how sure it is that renewing pays."""
        stands = stands_on(self.row)
        if stands:
            stands = f"{stands} {_('A new decision takes its place.')}"
        parts = (stands, str(self.lead), self._how_sure())
        return " ".join(each for each in parts if each)

    def _how_sure(self) -> str:
        """Say it of the costs that stand in the form, as the pages that led here do."""
        if not may(self.user, Action.SEE_RATES, self.row.property):
            return ""
        form = DecideForm({"choice": Choice.RENEW, "why": "-", **self.get_initial()})
        if not form.is_valid():
            return ""
        found = self._known(dict(form.cleaned_data))
        if found.chance_pays is None:
            return ""
        return _("Renewed alone, at the costs below, it pays: %s.") % share_text(found.chance_pays)

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "cost_words": self._words(), "past": self.past}

    def _words(self) -> str:
        if not may(self.user, Action.SEE_RATES, self.row.property):
            return ""
        words = cost_words(self.kept, self.row.property)
        return f"{words} {_('What is typed here counts.')}" if self.kept else words

    def get_initial(self) -> dict[str, Any]:
        asked = self.request.GET
        typed = {name: asked[name] for name in DecideForm.base_fields if name in asked}
        kept = {} if self.kept is None else {"renewal_cost": round(self.kept.alone, 2)}
        past = {} if self.past is None else {"fault_cost": round(self.past.mean)}
        return {**kept, **past, **typed}

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        known = self._known(data)
        rest = {name: value for name, value in data.items() if name not in _WEIGHED}
        return super().arguments({**rest, "known": known})

    def _known(self, data: dict[str, Any]) -> Known:
        numbers = {name: data[name] for name in _WEIGHED}
        return known_of(self.seen, past=self.past, **numbers)

    def get_extra(self) -> dict[str, object]:
        """One of the choices is called "not now": the link that leaves must not read like it."""
        return {"leave": _("Leave without deciding")}

    def get_back(self) -> str:
        return reverse("reports:hotspot_leg", args=[self.row.ref])

    def get_after(self) -> str:
        return reverse("reports:decisions")


class DecisionTakeBack(VerbView[Decision]):
    """Take a decision back."""

    verb = take_back_decision
    takes = "decision"
    form_class = WhyForm
    heading, button = _("Take the decision on %s back"), _("Take it back")
    lead = _("It stays in the list, with the reason.")
    done = _("Taken back.")

    def find(self) -> Decision:
        return find(decisions_for(self.user, self.may_do), ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.leg.property

    def get_back(self) -> str:
        return reverse("reports:decisions")

    def get_crumbs(self) -> Crumbs:
        return [(reverse("reports:decisions"), _("Decisions"))]

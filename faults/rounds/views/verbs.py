"""Make a round, change it, plan and send its visits, end it; and what a visit leaves."""

from collections.abc import Sequence
from functools import cached_property
from typing import Any

from django.db.models import Model
from django.urls import reverse
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from faults.access import rounds_for
from faults.models import LeftOut, Round, RoundStop
from faults.rounds.forms.rounds import LeaveForm, RoundForm, SendRoundForm, UntilForm
from faults.rounds.queries.rounds import left_out_for, stops_shown
from faults.rounds.services.leaving import leave_out, take_back_left_out
from faults.rounds.services.making import change_round, end_round, go_on_with_round, make_round
from faults.rounds.services.of_job import progress_of_job
from faults.rounds.services.planning import plan_visits, plan_what_was_left
from faults.rounds.services.progress import Progress, named
from faults.rounds.services.sending import send_on_round
from faults.work.views.job_common import JobView, OfJobView, job_url
from sites.kernel.access import find, properties_for
from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Property


class _RoundForms(VerbView[Any]):
    form_class = RoundForm
    template_name = "faults/verbs/form.html"

    @cached_property
    def stops(self) -> Sequence[RoundStop]:
        """The properties that it goes to now."""
        return []

    def get_form_kwargs(self) -> dict[str, Any]:
        places = properties_for(self.user, self.may_do).in_care().order_by("code", "pk")
        kwargs = super().get_form_kwargs()
        return {
            **kwargs,
            "the_round": self.row,
            "places": list(places),
            "stops": self.stops,
            "today": self.today,
        }

    def get_crumbs(self) -> Crumbs:
        return [(reverse("faults:rounds"), _("Rounds"))]


class RoundAdd(_RoundForms):
    """Make a round; all properties are offered, in the order of their codes."""

    verb = make_round
    heading, button = _("Make a round"), _("Make this round")
    lead = _(
        "Its visits are planned as jobs, four weeks ahead of the day on which they begin. Who goes "
        "on which day is said on the board, or for all of them at once."
    )
    done = _("Made. Its visits are planned as their days come near, or by the button below.")

    def find(self) -> None:
        """A new round has no row yet."""

    def get_initial(self) -> dict[str, Any]:
        asked = self.request.GET
        places: Sequence[Property] = list(
            properties_for(self.user, self.may_do).in_care().order_by("code", "pk")
        )
        chosen = [place for place in places if place.ref == asked.get("property")] or places
        return {
            "places": "\n".join(place.code for place in chosen),
            "purpose": asked.get("purpose", ""),
        }

    def get_back(self) -> str:
        return reverse("faults:rounds")

    def get_after(self) -> str:
        return reverse("faults:round", args=[self.result.ref])


class _OfRound(VerbView[Round]):
    takes = "the_round"

    def find(self) -> Round:
        rows = rounds_for(self.user, self.may_do).select_related("crew", "made_by")
        return find(rows, ref=self.kwargs["ref"])

    def get_back(self) -> str:
        return reverse("faults:round", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return [(reverse("faults:rounds"), _("Rounds")), (self.get_back(), str(self.row))]


class RoundChange(_OfRound, _RoundForms):
    """Change what a round says; its planned visits stay as they are."""

    verb = change_round
    heading, button = _("Change the round %s"), _("Keep this round")
    lead = _("It holds from the next visit on: visits that are planned stay as they are.")
    done = _("Kept. History keeps what was there before.")

    @cached_property
    def stops(self) -> Sequence[RoundStop]:
        """The properties that it goes to now."""
        return stops_shown(self.user, self.row)

    def get_crumbs(self) -> Crumbs:
        return _OfRound.get_crumbs(self)


class RoundPlan(_OfRound):
    """Plan the visits that begin by a day."""

    verb = plan_visits
    form_class = UntilForm
    heading, button = _("Plan the visits of %s"), _("Plan them")
    lead = _(
        "Each property gets the one visit that comes next, if it begins by this day and no earlier "
        "one there is still open."
    )

    def get_done(self) -> Text:
        n = len(self.result)
        return ngettext("%(n)s visit planned.", "%(n)s visits planned.", n) % {"n": n}


class RoundSend(_OfRound):
    """Send a crew to all visits that nobody has."""

    verb = send_on_round
    form_class = SendRoundForm
    heading, button = _("Who goes: %s"), _("Send this crew")
    lead = _(
        "In the order of going, as many visits a day as fit into the crew's working time beside "
        "what it has already. Drives are not counted; the board shows them."
    )

    def get_done(self) -> Text:
        sent, left = self.result.jobs, self.result.left
        words = ngettext("%(n)s visit has a crew now.", "%(n)s visits have a crew now.", len(sent))
        told = words % {"n": len(sent)}
        if left:
            more = ngettext(
                "%(n)s has none: %(why)s", "%(n)s have none, the first because: %(why)s", len(left)
            )
            told += " " + more % {"n": len(left), "why": f"{left[0][0].property}: {left[0][1]}"}
        return told


class RoundEnd(_OfRound):
    """End a round."""

    verb = end_round
    form_class = WhyForm
    heading, button = _("End the round %s"), _("End it")
    lead = _("No more visits are planned. Those that are planned stay: make or withdraw them.")
    done = _("Ended. It can go on again.")


class RoundGoOn(_OfRound):
    """Let an ended round go on."""

    verb = go_on_with_round
    heading, button = _("Let the round %s go on?"), _("Let it go on")
    done = _("It goes on: its next visits are planned as their days come near.")


class JobLeave(JobView):
    """Say that a station or timer of a visit is left, and why."""

    verb = leave_out
    form_class = LeaveForm
    heading, button = _("What is left of this visit, and why?"), _("Keep this")
    lead = _("What is recorded of it later goes before: it is done then.")

    @cached_property
    def progress(self) -> Progress:
        """How far the visit has come."""
        return progress_of_job(self.row)[0]

    def get_form_kwargs(self) -> dict[str, Any]:
        things = {"{}-{}".format(*named(each.thing)): each.thing for each in self.progress.left}
        return {**super().get_form_kwargs(), "things": things, "today": self.today}

    def get_done(self) -> Text:
        return _now("Kept: %(what)s is left, %(why)s.") % {
            "what": self.result.station or self.result.device,
            "why": self.result.get_why_display(),
        }

    def get_undo(self) -> str:
        return reverse("faults:left_take_back", args=[self.result.pk])


class LeftTakeBack(OfJobView[LeftOut]):
    """It is still to be done."""

    verb = take_back_left_out
    takes = "left"
    button = _("It is still to be done")
    done = _("Taken back: it is still to be done.")

    @property
    def job(self) -> Any:
        """The visit."""
        return self.row.job

    def find(self) -> LeftOut:
        return find(left_out_for(self.user, self.may_do), pk=self.kwargs["pk"])

    def get_heading(self) -> Text:
        return _now("%s is not left after all?") % (self.row.station or self.row.device)

    def get_watched(self) -> Sequence[Model]:
        return [self.row]


class JobPlanLeft(JobView):
    """Plan another visit to what this one left."""

    verb = plan_what_was_left
    button = _("Plan another visit")
    done = _("Planned: it goes to what was left, and counts for the same turn.")

    def get_heading(self) -> Text:
        return _now("Plan another visit to what was left")

    def get_lead(self) -> Text:
        names = ", ".join(str(each.thing) for each in progress_of_job(self.row)[0].left)
        return _now("It goes to: %s.") % names if names else _now("Nothing of this visit was left.")

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        left = [named(each.thing) for each in progress_of_job(self.row)[0].left]
        return {
            **super().arguments(data),
            "stations": [key for what, key in left if what == "station"],
            "devices": [key for what, key in left if what == "device"],
        }

    def get_after(self) -> str:
        return job_url(self.result)

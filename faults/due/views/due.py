"""What is due: the list, and the pages on which people handle a line of it."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext_lazy as _

from faults.due.forms import DueFilter, FinishForm, HandOverForm, MoveFollowUpForm
from faults.due.queries import WHEN_IS, handled_by, totals_of
from faults.due.services.by_hand import (
    finish_follow_up,
    hand_over,
    move_follow_up,
    reopen_follow_up,
)
from faults.due.services.lines import filtered, lines_of
from faults.due.services.words import sentence
from faults.models import FollowUp
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Property
from sites.register.queries.stations import days_by_zone

A_PAGE = 50


@page_for(Action.SEE_WORK)
def due(request: SignedInRequest) -> HttpResponse:
    """What is overdue, due today and coming; or what was done lately."""
    form = DueFilter(request.GET)
    chosen = form.chosen()
    days = days_by_zone(timezone.now())
    rows = filtered(request.user, chosen, today=max(days.values(), default=None))
    shown = rows.filter(WHEN_IS[chosen["when"]](days)) if chosen["when"] else rows
    page = Paginator(shown, A_PAGE).get_page(request.GET.get("page", "1"))
    context: dict[str, object] = {
        "form": form,
        "page": page,
        "groups": lines_of(page.object_list, days, request.user),
        "totals": totals_of(rows, days),
        "is_done": chosen["show"] == "done",
        "query": _without(request, "page"),
        "query_when": _without(request, "page", "when"),
        "here": request.get_full_path(),
    }
    return render(request, "faults/due/due.html", context)


def _without(request: SignedInRequest, *names: str) -> str:
    asked = request.GET.copy()
    for name in names:
        asked.pop(name, None)
    query: str = asked.urlencode()
    return query


class _LineView(VerbView[FollowUp]):
    """A verb on a line; the page leads back to the list, as the person left it."""

    takes = "follow_up"
    action = Action.HANDLE_FOLLOW_UPS
    template_name = "faults/due/verb.html"

    def find(self) -> FollowUp:
        return find(handled_by(self.user), ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.property

    def get_heading(self) -> Text:
        return f"{self.row.property.code}: {sentence(self.row)}"

    def get_back(self) -> str:
        return back_to(self.request, reverse("faults:due"))

    def get_crumbs(self) -> Crumbs:
        return [(reverse("faults:due"), _("Due"))]

    def get_extra(self) -> dict[str, object]:
        return {"came_from": self.get_back()}


class DueFinish(_LineView):
    """Tick a line as done: at one tap, or with a note."""

    verb = finish_follow_up
    form_class = FinishForm
    button = _("Done")

    def get_done(self) -> Text:
        return _("Done: %s.") % sentence(self.row)


class DueMove(_LineView):
    """Move a line to another day."""

    verb = move_follow_up
    form_class = MoveFollowUpForm
    button = _("Move it")

    def get_lead(self) -> Text:
        return _("Due on %s.") % self.row.due_on.isoformat()

    def get_done(self) -> Text:
        return str(_("Moved to %s.") % self.form.cleaned_data["to"].isoformat())


class DueHandOver(_LineView):
    """Assign a line to a person."""

    verb = hand_over
    form_class = HandOverForm
    button = _("Hand it over")

    def get_done(self) -> Text:
        who = self.form.cleaned_data["to"] or _("nobody in particular")
        return _("It is with %s now.") % str(who)


class DueReopen(_LineView):
    """Take a tick back."""

    verb = reopen_follow_up
    button = _("Open it again")

    def get_done(self) -> Text:
        return _("Open again: %s.") % sentence(self.row)


def back_to(request: SignedInRequest, default: str) -> str:
    """Return the page of ours that the user came from, as the form carries it."""
    wanted = request.POST.get("back") or request.GET.get("back", "")
    is_ours = wanted.startswith("/") and url_has_allowed_host_and_scheme(
        wanted, allowed_hosts=None, require_https=request.is_secure()
    )
    return wanted if is_ours else default

"""What is due: the list, and the pages on which people handle a line of it."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from faults.cases.views.common import posted, today_at
from faults.due.forms import DueFilter, FinishForm, HandOverForm, MoveFollowUpForm, NothingForm
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
from sites.kernel.views.verbs import VerbPage, verb_page
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
    context: dict[str, Any] = {
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


@page_for(Action.HANDLE_FOLLOW_UPS)
def finish(request: SignedInRequest, ref: str) -> HttpResponse:
    """Tick a line as done: at one tap, or with a note."""
    row = _row(request, ref)

    def act(data: dict[str, Any]) -> str:
        today = today_at(row.property)
        finish_follow_up(follow_up=row, by=request.user, today=today, note=data["note"])
        return _("Done: %s.") % sentence(row)

    return _page(request, row, FinishForm(posted(request)), _("Done"), act)


@page_for(Action.HANDLE_FOLLOW_UPS)
def move(request: SignedInRequest, ref: str) -> HttpResponse:
    """Move a line to another day."""
    row = _row(request, ref)
    today = today_at(row.property)

    def act(data: dict[str, Any]) -> str:
        move_follow_up(follow_up=row, to=data["to"], why=data["why"], today=today)
        return str(_("Moved to %s.") % data["to"].isoformat())

    form = MoveFollowUpForm(posted(request), row=row, today=today)
    lead = _("Due on %s.") % row.due_on.isoformat()
    return _page(request, row, form, _("Move it"), act, lead=lead)


@page_for(Action.HANDLE_FOLLOW_UPS)
def hand(request: SignedInRequest, ref: str) -> HttpResponse:
    """Assign a line to a person."""
    row = _row(request, ref)

    def act(data: dict[str, Any]) -> str:
        hand_over(follow_up=row, to=data["to"])
        return _("It is with %s now.") % (data["to"] or _("nobody in particular"))

    return _page(request, row, HandOverForm(posted(request), row=row), _("Hand it over"), act)


@page_for(Action.HANDLE_FOLLOW_UPS)
def reopen(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take a tick back."""
    row = _row(request, ref)

    def act(data: dict[str, Any]) -> str:
        reopen_follow_up(follow_up=row)
        return _("Open again: %s.") % sentence(row)

    return _page(request, row, NothingForm(posted(request)), _("Open it again"), act)


def _row(request: SignedInRequest, ref: str) -> FollowUp:
    return find(handled_by(request.user), ref=ref)


def _page(
    request: SignedInRequest,
    row: FollowUp,
    form: forms.Form,
    button: str,
    act: Callable[[dict[str, Any]], str],
    *,
    lead: str = "",
) -> HttpResponse:
    back = back_to(request, reverse("faults:due"))
    page = VerbPage(
        heading=f"{row.property.code}: {sentence(row)}",
        button=button,
        back=back,
        watched=[row],
        act=act,
        crumbs=[(reverse("faults:due"), _("Due"))],
        lead=lead,
        template="faults/due/verb.html",
        extra={"came_from": back},
    )
    return verb_page(request, form, page)


def back_to(request: SignedInRequest, default: str) -> str:
    """Return the page of ours that the user came from, as the form carries it."""
    wanted = request.POST.get("back") or request.GET.get("back", "")
    is_ours = wanted.startswith("/") and url_has_allowed_host_and_scheme(
        wanted, allowed_hosts=None, require_https=request.is_secure()
    )
    return wanted if is_ours else default

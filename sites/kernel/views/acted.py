"""What came of an act on ticked rows: above its list, on a page of its own, and taken back."""

from collections.abc import Callable, Sequence
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from sites.kernel.access import (
    SignedInRequest,
    actions_anywhere,
    find,
    page_for,
    ticked_acts_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.services.many import take_back_many
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.acts import Act
from sites.kernel.views.many import ACTED, LISTS, ManyView, with_acted
from sites.models import TickedAct, User


def acted_here(request: SignedInRequest) -> dict[str, object]:
    """Return what a list shows above its rows: the act that led here, and the key of its form."""
    asked = request.GET.copy()
    ref = "".join(asked.pop(ACTED, [""])[-1:])
    found = ticked_acts_for(request.user).filter(ref=ref).first() if ref else None
    query = asked.urlencode()
    return {
        "acted": found,
        "once": uuid4(),
        "query": query,
        "here": f"{request.path}?{query}" if query else request.path,
    }


def may_tick(view: type[ManyView[Any]], user: User) -> bool:
    """Return whether there is anything that the user may do with ticked rows."""
    return bool(view.looks) or bool(_allowed(view, user))


def _allowed(view: type[ManyView[Any]], user: User) -> dict[str, Act]:
    allowed = actions_anywhere(user)
    return {name: act for name, act in view.acts.items() if act.action in allowed}


def ticking(
    view: type[ManyView[Any]], user: User, *, refs: Sequence[str], total: int
) -> dict[str, object]:
    """Return what the bar of a list shows.

    Args:
        refs: the rows of this page that can be ticked.
        total: how many rows match, on all pages.
    """
    acts = _allowed(view, user)
    return {
        "many_url": reverse(view.many_page),
        "many_acts": acts if refs else {},
        "many_looks": view.looks if refs else {},
        "many_refs": " ".join(refs),
        "many_count": len(refs),
        "many_total": total,
    }


@page_for(Action.SEE_REGISTER)
def ticked_act(request: SignedInRequest, ref: str) -> HttpResponse:
    """One act on many rows: what was done, and what was refused, row by row."""
    one = find(ticked_acts_for(request.user), ref=ref)
    return render(request, "sites/acted.html", {"acted": one, "is_whole": True})


@page_for(Action.SEE_REGISTER)
def ticked_act_take_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Undo it, row by row, by the verb that each row's own page offers."""
    one = find(ticked_acts_for(request.user), ref=ref)
    led_to = with_acted(one.came_from, one.ref)
    if request.method != "POST":
        return redirect("sites:ticked_act", one.ref)
    try:
        _take_back(one, request.user)
    except UnableToAct as refusal:
        messages.info(request, str(refusal))
    return redirect(led_to)


def _take_back(one: TickedAct, user: User) -> None:
    view = LISTS.get(one.act)
    if view is None:  # an act of an older version, which no list offers any more
        raise Http404
    act = view.acts[one.act]
    refs = [each["ref"] for each in one.done]
    rows = {row.ref: row for row in view.rows_for(user, act.action).filter(ref__in=refs)}
    undo: Callable[[Any, dict[str, Any]], object] = lambda row, kept: act.undo(row, kept, user)  # noqa: E731
    take_back_many(one, rows, undo=undo, at=timezone.now())

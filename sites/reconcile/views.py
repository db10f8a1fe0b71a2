"""Reconcile: bring the central system's list, settle the differences, take decisions back."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.core.exceptions import BadRequest, PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from sites.cells.engines.plain_words import same_name
from sites.kernel.access import SignedInRequest, find, may, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.limits import limited
from sites.kernel.views.verb_help import today_at
from sites.load.services.files import RegisterFile
from sites.models import CentralList, Decision, Difference, Property, User
from sites.reconcile.forms import DecideForm, ListForm
from sites.reconcile.queries import folder_files, folder_for, standing_for
from sites.reconcile.services import deciding
from sites.reconcile.services.differences import Compared, Line, compare, decided, decisions_for
from sites.reconcile.services.lists import UnableToTakeList, lists_for, sees_all_of, take_list
from sites.register.views.lists import wants_fragment

SHOWN_AT_ONCE = 40
RECENT = 20


@limited("reconcile", "30/hour")
@page_for(Action.RECONCILE)
def reconcile(request: SignedInRequest) -> HttpResponse:
    """Bring a list; below, those of before."""
    user = request.user
    places = properties_for(user, Action.RECONCILE).in_care().order_by("code", "pk")
    is_sent = request.method == "POST"
    form = ListForm(*((request.POST, request.FILES) if is_sent else ()), places=places)
    problems: list[Any] = []
    if is_sent and form.is_valid():
        try:
            central = _take(form, user)
        except UnableToTakeList as refusal:
            form.add_error(refusal.field, str(refusal))
            problems = refusal.problems[:SHOWN_AT_ONCE]
        else:
            return redirect("sites:reconcile_list", ref=central.ref)
    recent = lists_for(user).select_related("property", "by").order_by("-at", "-pk")[:RECENT]
    folder = folder_for(user)
    context = {
        "form": form,
        "problems": problems,
        "lists": recent,
        "standing": standing_for(user),
        "folder": folder,
        "files": folder_files(RECENT) if folder else [],
    }
    status = 422 if is_sent else 200
    return render(request, "sites/reconcile/start.html", context, status=status)


@page_for(Action.RECONCILE)
def reconcile_list(request: SignedInRequest, ref: str) -> HttpResponse:
    """One list beside the register: what differs, what was decided, what is to be done there."""
    central = _list(request, ref)
    template = "_differences.html" if wants_fragment(request) else "list.html"
    return render(request, f"sites/reconcile/{template}", _context(central, request.user))


@page_for(Action.RECONCILE)
@require_POST
def reconcile_decide(request: SignedInRequest, ref: str) -> HttpResponse:
    """Settle one difference, or all alike of one controller."""
    central, form = _list(request, ref), DecideForm(request.POST)
    if not form.is_valid():
        raise BadRequest
    lines = _meant(compare(central, request.user), form.cleaned_data)
    way = form.cleaned_data["decided"]
    if any(not may(request.user, deciding.WAYS[way].asks_for, line.place) for line in lines):
        raise PermissionDenied
    try:
        count = deciding.decide(
            lines=lines,
            way=way,
            by=request.user,
            at=timezone.now(),
            today=today_at(lines[0].place) if lines else timezone.localdate(),
            on=form.cleaned_data["on"],
        )
    except UnableToAct as refusal:
        messages.error(request, str(refusal))
    else:
        words = ngettext("%(n)d station: %(done)s.", "%(n)d stations: %(done)s.", count)
        if count == 1:
            words = _("%(name)s: %(done)s.")
        done = deciding.WAYS[way].done
        messages.success(request, words % {"n": count, "name": lines[0].name, "done": done})
    return _after(request, central)


@page_for(Action.RECONCILE)
@require_POST
def reconcile_take_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take a decision back, and what it did."""
    central = _list(request, ref)
    number = request.POST.get("decision", "")
    if not number.isdecimal():
        raise BadRequest
    decision = find(decisions_for(request.user), pk=number)
    name = f"{decision.controller_name}:{decision.number}"
    try:
        deciding.take_back(decision=decision, today=today_at(decision.property))
    except UnableToAct as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _("%s is asked about again.") % name)
    return _after(request, central)


def _take(form: ListForm, user: User) -> CentralList:
    file = form.cleaned_data["brought"]
    return take_list(
        files=[RegisterFile(file.name, file.read())],
        place=form.cleaned_data["place"],
        by=user,
        at=timezone.now(),
        today=_today_for(form.cleaned_data["place"]),
    )


def _today_for(place: Property | None) -> date:
    """Return the day at the property; a list of several has none, so the user's own counts."""
    return today_at(place) if place else timezone.localdate()


def _list(request: SignedInRequest, ref: str) -> CentralList:
    found: CentralList = find(lists_for(request.user).select_related("property", "by"), ref=ref)
    return found


def _meant(compared: Compared, said: dict[str, object]) -> list[Line]:
    return [
        line
        for line in compared.open
        if line.place.ref == said["place"]
        and same_name(line.controller_name) == same_name(said["controller"])
        and line.difference == said["difference"]
        and (said["number"] is None or line.number == said["number"])
    ]


def _after(request: SignedInRequest, central: CentralList) -> HttpResponse:
    if not wants_fragment(request):
        return redirect("sites:reconcile_list", ref=central.ref)
    context = _context(central, request.user)
    return render(request, "sites/reconcile/_differences.html", context)


def _context(central: CentralList, user: User) -> dict[str, object]:
    compared = compare(central, user)
    standing = decided(compared.places)
    return {
        "central": central,
        "foreign": compared.foreign if sees_all_of(central, user) else {},
        "compared": compared,
        "groups": [_group(compared, difference) for difference in Difference],
        "to_do": [_told(each) for each in standing if deciding.is_to_do(each)],
        "settled": [_told(each) for each in standing if not deciding.is_to_do(each)],
        "today": _today_for(central.property),
    }


def _group(compared: Compared, difference: Difference) -> dict[str, object]:
    lines = [line for line in compared.open if line.difference == difference]
    shown = lines[:SHOWN_AT_ONCE]
    alike: dict[tuple[int, str], int] = {}
    for line in lines:
        at = line.place.pk, line.controller_name
        alike[at] = alike.get(at, 0) + 1
    return {
        "name": difference.value,
        "ways": deciding.ways_for(difference),
        "count": len(lines),
        "more": len(lines) - len(shown),
        "lines": [
            {"line": line, "alike": alike.pop((line.place.pk, line.controller_name), 0)}
            for line in shown
        ],
    }


def _told(decision: Decision) -> dict[str, object]:
    return {"decision": decision, "done": deciding.WAYS[decision.decided].done}

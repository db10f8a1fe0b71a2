"""Start a search, record and void its tests, say what is at hand, end it, take it up again."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import search_readings_for
from faults.cases.queries import breaks_of
from faults.cases.views.common import posted
from faults.locating.engines.options import Stand
from faults.locating.engines.plain import stand_from
from faults.locating.engines.plain_values import Ids, UnusablePlain
from faults.locating.forms.searches import EquipForm, FinishForm, SaidForm, VoidTestForm
from faults.locating.services.doing import (
    equip_search,
    finish_search,
    record_search_reading,
    reopen_search,
    start_search,
    void_search_reading,
)
from faults.locating.services.ground import NoLine, SearchGround, ground_of
from faults.locating.services.numbers import assumed_now
from faults.locating.services.remembered import tools_last_used
from faults.locating.views.search_common import (
    SLUGS,
    crumbs,
    fault_and_station,
    search_of,
    where_url,
)
from faults.models import Search
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import today_at


def caution() -> str:
    """Return the usual caution at terminals and in boxes."""
    return _(
        "The mains side of the controller is for licensed electricians. Switch the station off "
        "before you cut or splice; 24 V is not safe on wet skin. Look for snakes and insects "
        "before you reach into a box."
    )


@page_for(Action.TAKE_READINGS)
def start(request: SignedInRequest, ref: str, station: str) -> HttpResponse:
    """Begin to look for the break on one station's wire."""
    fault, one = fault_and_station(request, ref, station, Action.TAKE_READINGS)
    now = timezone.now()
    initial = {"tools": tools_last_used(request.user), "may_cut": True}
    way = crumbs(fault, one)

    def act(data: dict[str, Any]) -> str:
        start_search(fault=fault, station=one, at=now, by=request.user, **data)
        return _("The search has begun.")

    return verb_page(
        request,
        EquipForm(posted(request), initial=initial),
        VerbPage(
            heading=_("Search the wire of %s") % one,
            button=_("Begin the search"),
            back=way[-1][0],
            watched=[],
            act=act,
            crumbs=way,
            caution=caution(),
        ),
    )


@page_for(Action.TAKE_READINGS)
def record(request: SignedInRequest, ref: str, kind: str) -> HttpResponse:
    """Record one test of a search."""
    search = search_of(request, ref, Action.TAKE_READINGS)
    what = SLUGS.get(kind)
    if what is None:
        raise Http404
    now = timezone.now()
    try:
        ground = _ground(search)
    except NoLine as problem:
        return _cannot(request, search, str(problem))
    form = SaidForm(
        posted(request),
        kind=what,
        ground=ground,
        units=search.fault.property.units,
        initial=request.GET.dict(),
    )

    def act(data: dict[str, Any]) -> str:
        record_search_reading(
            search=search,
            said=form.said(),
            taken_at=form.when(),
            by=request.user,
            now=now,
            stand=_stand(request, ground),
        )
        return _("The test is kept, and the plan is recalculated.")

    return verb_page(
        request,
        form,
        VerbPage(
            heading=str(what.label)[:1].upper() + str(what.label)[1:],
            button=_("Keep this test"),
            back=where_url(search),
            watched=[],
            act=act,
            crumbs=crumbs(search.fault, search.station),
            caution=caution(),
            template="faults/searches/record.html",
        ),
    )


def _ground(search: Search) -> SearchGround:
    today = today_at(search.fault.property)
    return ground_of(search.station, search.fault, assumed_now(), today=today)


def _stand(request: SignedInRequest, ground: SearchGround) -> Stand:
    """Where the technician stood, as the page said; the controller where it said nothing."""
    try:
        at = int(request.GET.get("stand", ""))
        return stand_from({"at": at}, Ids(ground.points, ground.legs))
    except (ValueError, UnusablePlain):
        return Stand()


def _cannot(request: SignedInRequest, search: Search, words: str) -> HttpResponse:
    """Show why the wire cannot be searched along, with the way back."""
    messages.error(request, words)
    return redirect(where_url(search))


@page_for(Action.TAKE_READINGS)
def void(request: SignedInRequest, pk: int) -> HttpResponse:
    """Take a wrong test out of its search."""
    reading = find(search_readings_for(request.user, Action.TAKE_READINGS), pk=pk)
    search = reading.search

    def act(data: dict[str, Any]) -> str:
        void_search_reading(reading=reading, why=str(data["why"]), now=timezone.now())
        return _("The test is voided. It stays in view, struck through.")

    return verb_page(
        request,
        VoidTestForm(posted(request)),
        VerbPage(
            heading=_("Void a test of %s") % search.station,
            button=_("Void it"),
            back=where_url(search),
            watched=[reading],
            act=act,
            crumbs=crumbs(search.fault, search.station),
        ),
    )


@page_for(Action.TAKE_READINGS)
def equip(request: SignedInRequest, ref: str) -> HttpResponse:
    """Say what is at hand, whether a wire may be cut, and how the soil is."""
    search = search_of(request, ref, Action.TAKE_READINGS)
    initial = {
        "tools": search.tools,
        "may_cut": search.may_cut,
        "soil_is_dry": search.soil_is_dry,
    }

    def act(data: dict[str, Any]) -> str:
        equip_search(search=search, **data)
        return _("Kept. The plan counts with it.")

    return verb_page(
        request,
        EquipForm(posted(request), initial=initial),
        VerbPage(
            heading=_("What is at hand"),
            button=_("Keep"),
            back=where_url(search),
            watched=[search],
            act=act,
            crumbs=crumbs(search.fault, search.station),
        ),
    )


@page_for(Action.TAKE_READINGS)
def finish(request: SignedInRequest, ref: str) -> HttpResponse:
    """End a search: found, given up, or not the wire."""
    search = search_of(request, ref, Action.TAKE_READINGS)
    now = timezone.now()

    def act(data: dict[str, Any]) -> str:
        finish_search(search=search, at=now, now=now, **data)
        return _("The search has ended; what it knew at its end is kept.")

    return verb_page(
        request,
        FinishForm(posted(request), breaks=breaks_of(search.fault)),
        VerbPage(
            heading=_("End the search of %s") % search.station,
            button=_("End it"),
            back=where_url(search),
            watched=[search],
            act=act,
            crumbs=crumbs(search.fault, search.station),
            lead=_("Recording the break on the fault ends the search as found by itself."),
            template="faults/searches/record.html",
        ),
    )


@page_for(Action.TAKE_READINGS)
def go_on(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take up a search again that was ended too early."""
    search = search_of(request, ref, Action.TAKE_READINGS)

    def act(data: dict[str, Any]) -> str:
        reopen_search(search=search, why=str(data["why"]))
        return _("The search goes on.")

    return verb_page(
        request,
        VoidTestForm(posted(request)),
        VerbPage(
            heading=_("Go on with the search of %s") % search.station,
            button=_("Go on"),
            back=where_url(search),
            watched=[search],
            act=act,
            crumbs=crumbs(search.fault, search.station),
        ),
    )

"""Record a break, correct one, and print the evidence for charging it back."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import breaks_for, faults_for, roles_on
from faults.cases.engines.stages import Stage, needs_a_reason, next_moves
from faults.cases.forms.breaks import CorrectBreakForm, RecordBreakForm
from faults.cases.queries import claims_of, photos_of, stations_of
from faults.cases.services.breaks import Shot, correct_break, record_break
from faults.cases.views.common import crumbs_of, fault_url, posted, today_at
from faults.models import Break, Fault, FaultStation, Shows
from sites.kernel.access import SignedInRequest, actions_on, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.register.services.photos import prepare_photo


@page_for(Action.RECORD_BREAK)
def break_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Record a break of this fault, with a photo at once."""
    faults = faults_for(request.user, Action.RECORD_BREAK)
    fault = find(faults.select_related("property"), ref=ref)
    form = RecordBreakForm(
        posted(request),
        request.FILES or None,
        fault=fault,
        leg_ref=request.GET.get("leg", ""),
        waiting=_waiting(request, fault),
        today=today_at(fault.property),
    )

    def act(data: dict[str, Any]) -> str:
        return _kept_words(_keep(request, fault, form, data))

    page = VerbPage(
        heading=_("Record a break of %s") % fault,
        button=_("Keep this break"),
        back=fault_url(fault),
        watched=[],
        act=act,
        crumbs=crumbs_of(fault),
        caution=_digging(),
        template="faults/verbs/break.html",
    )
    return verb_page(request, form, page)


def _keep(
    request: SignedInRequest, fault: Fault, form: RecordBreakForm, data: dict[str, Any]
) -> Break:
    shot = None
    if file := data["camera"] or data["photo"]:
        photo = prepare_photo(file, keep_position=data["keep_position"])
        shot = Shot(photo, data["shows"])
    return record_break(
        fault=fault,
        facts=form.facts(),
        by=request.user,
        at=timezone.now(),
        today=today_at(fault.property),
        found=form.found(),
        shot=shot,
    )


def _kept_words(one: Break) -> str:
    words = _("The break is recorded: %s.") % one
    for claim in claims_of([one], one.fault.property):
        words += " " + _(
            "It lies where we mended on %(mended)s (fault %(fault)s): under our own warranty "
            "until %(until)s."
        ) % {
            "mended": claim.earlier.mended_on,
            "fault": claim.earlier.fault,
            "until": claim.until,
        }
    return words


def _waiting(request: SignedInRequest, fault: Fault) -> list[FaultStation]:
    """Return the stations that this user may move on to "found"."""
    roles = roles_on(request.user, fault.property)
    return [
        row
        for row in stations_of(fault)
        if any(
            step.end is Stage.FOUND and not needs_a_reason(step)
            for step in next_moves(Stage(row.stage), roles)
        )
    ]


def _digging() -> str:
    return _("Before anybody digs: have underground utilities marked, and keep to local codes.")


@page_for(Action.RECORD_BREAK)
def break_correct(request: SignedInRequest, ref: str) -> HttpResponse:
    """Correct what was recorded of a break."""
    one = _break(request, ref, Action.RECORD_BREAK)
    form = CorrectBreakForm(posted(request), one=one, leg_ref=request.GET.get("leg", ""))

    def act(data: dict[str, Any]) -> str:
        today = today_at(one.fault.property)
        correct_break(one=one, facts=form.facts(), why=data["why"], today=today)
        return _("Corrected. History keeps what was recorded before.")

    page = VerbPage(
        heading=_("Correct a break of %s") % one.fault,
        button=_("Correct it"),
        back=fault_url(one.fault),
        watched=[one],
        act=act,
        crumbs=crumbs_of(one.fault),
        template="faults/verbs/break.html",
    )
    return verb_page(request, form, page)


@page_for(Action.SEE_FAULTS)
def evidence(request: SignedInRequest, ref: str) -> HttpResponse:
    """One page to print: what was damaged, where, when, by whom, and what was done."""
    one = _break(request, ref, Action.SEE_FAULTS)
    place = one.fault.property
    may_here = actions_on(request.user, place)
    shown = [photo for photo in photos_of(one.fault) if not photo.hidden_on]
    of_break = [photo for photo in shown if photo.of_break_id == one.pk]
    context = {
        "one": one,
        "fault": one.fault,
        "place": place,
        "crumbs": crumbs_of(one.fault),
        "stations": stations_of(one.fault),
        "pictures": _pictures(of_break) if may_here.get("see_photos") else [],
        "may_here": may_here,
        "change_url": reverse("faults:break_correct", args=[one.ref]),
    }
    return render(request, "faults/evidence.html", context)


def _pictures(photos: list[Any]) -> list[tuple[Any, Any]]:
    """Return the newest photo of each kind, or None where there is none."""
    newest = {photo.shows: photo for photo in reversed(photos)}
    return [(label, newest.get(shows)) for shows, label in Shows.choices]


def _break(request: SignedInRequest, ref: str, action: Action) -> Break:
    rows = breaks_for(request.user, action).select_related(
        "fault__property", "leg__from_point", "leg__to_point", "from_point"
    )
    return find(rows.prefetch_related("wires"), ref=ref)

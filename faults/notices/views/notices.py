"""Notices: the list, one with its days, and the verbs on it."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import faults_for, notices_for
from faults.cases.engines.stages import Stage
from faults.cases.forms.fields import DayField
from faults.cases.views.common import crumbs_of, fault_url, posted, property_crumbs, today_at
from faults.models import Fault, FaultStation, Notice
from faults.notices.engines.dig_gate import PlannedDig
from faults.notices.forms.filters import NoticeFilter
from faults.notices.forms.notices import AnswersForm, NoticeForm
from faults.notices.queries import (
    asked_of,
    digs_of,
    notices_listed,
    notices_of,
    operators_of,
    overrides_of,
)
from faults.notices.services.book import NoticeBook
from faults.notices.services.printed import far_days
from faults.notices.services.terms import clears_on, last_day, renew_on, zone_of
from faults.notices.services.tickets import (
    DAYS_OF_A_TICKET,
    bring_notice_back,
    cancel_notice,
    change_notice,
    enter_answers,
    give_notice,
)
from faults.notices.services.words import (
    dig_days,
    hand_dug_words,
    headline,
    reasons_in_words,
    weeks,
)
from faults.notices.tables import NoticeTable
from sites.kernel.access import SignedInRequest, actions_on, find, may, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import OnAndWhyForm, WhyForm
from sites.kernel.services.history import history_of
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Property
from sites.register.views.lists import list_page


def caution() -> str:
    """Return what stands wherever days of a notice are shown."""
    return _(
        "Default for planning. Check your state one-call centre (call 811) and local law. The "
        "ticket's own dates win."
    )


@page_for(Action.SEE_WORK)
def notices(request: SignedInRequest) -> HttpResponse:
    """All notices, newest first, each with what it says today."""
    return list_page(
        request,
        heading=_("Notices"),
        lead=caution(),
        rows=notices_listed(request.user, at=timezone.now()),
        filter_class=NoticeFilter,
        table_class=NoticeTable,
    )


@page_for(Action.SEE_WORK)
def notice(request: SignedInRequest, ref: str) -> HttpResponse:
    """One notice: whether digging is allowed today, on which days, and why not."""
    one = _find(request, ref, Action.SEE_WORK)
    place, now = one.property, timezone.now()
    judged = NoticeBook.of([]).judge_ticket(one, place, PlannedDig(now, now))
    printed = {name: getattr(one, name) for name in DAYS_OF_A_TICKET}
    digs = digs_of(one, request.user)
    context = {
        "notice": one,
        "place": place,
        "may_here": actions_on(request.user, place),
        "judged": judged,
        "headline": headline(judged),
        "reasons": reasons_in_words(judged),
        "weeks": list(weeks(dig_days(judged, place=place, today=today_at(place)))),
        "clears_on": clears_on(judged),
        "last_day": last_day(judged),
        "renew_on": None if one.cancelled_on else renew_on(judged),
        "today": today_at(place),
        "hand_dug": hand_dug_words(judged.rule, place),
        "far": {far.name: far for far in far_days(place, one.rule, one.given_at, printed)},
        "given_at": f"{timezone.localtime(one.given_at, zone_of(place)):%Y-%m-%d %H:%M}",
        "operators": operators_of(one),
        "digs": digs,
        "overrides": overrides_of(digs),
        "caution": caution(),
    }
    if may(request.user, Action.SEE_HISTORY, place):
        context["history"] = history_of(one)
    return render(request, "faults/notices/notice.html", context)


@page_for(Action.GIVE_NOTICE)
def notice_give(request: SignedInRequest, ref: str) -> HttpResponse:
    """Record a notice for a fault."""
    faults = faults_for(request.user, Action.GIVE_NOTICE)
    fault = find(faults.select_related("property"), ref=ref)
    return _give(request, fault.property, fault)


@page_for(Action.GIVE_NOTICE)
def notice_give_here(request: SignedInRequest, ref: str) -> HttpResponse:
    """Record a notice for a whole property."""
    place = find(properties_for(request.user, Action.GIVE_NOTICE), ref=ref)
    return _give(request, place, None)


def _give(request: SignedInRequest, place: Property, fault: Fault | None) -> HttpResponse:
    now = timezone.now()
    initial = {"given_at": now, "proposed_start_on": today_at(place)}
    form = NoticeForm(posted(request), zone=zone_of(place), initial=initial)
    made: list[Notice] = []

    def act(data: dict[str, Any]) -> str:
        kept = give_notice(
            place=place,
            fault=fault,
            facts=form.facts(),
            operators=data["operators"].splitlines(),
            by=request.user,
            at=now,
            is_sure=data["is_sure"],
        )
        made.append(kept)
        return _("Kept. The days on which digging is allowed stand below.")

    back = fault_url(fault) if fault else reverse("reports:property", args=[place.ref])
    page = VerbPage(
        heading=_("Give a notice for %s") % (fault or place),
        button=_("Keep this notice"),
        back=back,
        watched=[],
        act=act,
        crumbs=crumbs_of(fault) if fault else property_crumbs(place),
        lead=_("Call 811 or use the centre's own page; then write down here what stands there."),
        caution=caution(),
        template="faults/verbs/form.html",
        after=lambda: _url(made[0]),
    )
    return verb_page(request, form, page)


@page_for(Action.GIVE_NOTICE)
def notice_change(request: SignedInRequest, ref: str) -> HttpResponse:
    """Type in the printed days, or correct what was typed."""
    one = _find(request, ref, Action.GIVE_NOTICE)
    form = NoticeForm(posted(request), zone=zone_of(one.property), notice=one)

    def act(data: dict[str, Any]) -> str:
        change_notice(
            notice=one,
            facts=form.facts(),
            at=timezone.now(),
            why=data["why"],
            is_sure=data["is_sure"],
        )
        return _("Kept.")

    page = _page(one, _("Change ticket %s") % one, _("Keep this"), act, lead=caution())
    return verb_page(request, form, page)


@page_for(Action.GIVE_NOTICE)
def notice_answers(request: SignedInRequest, ref: str) -> HttpResponse:
    """Who must answer, and what was answered."""
    one = _find(request, ref, Action.GIVE_NOTICE)
    rows = operators_of(one)
    form = AnswersForm(posted(request), rows=rows, today=today_at(one.property))

    def act(_data: dict[str, Any]) -> str:
        changed = enter_answers(notice=one, told=form.told(), today=today_at(one.property))
        return _("Kept.") if changed else _("Nothing was different.")

    lead = _("A dig may go only when everybody marked, or said that nothing of theirs lies there.")
    page = _page(one, _("Answers to ticket %s") % one, _("Keep the answers"), act, lead=lead)
    return verb_page(request, form, page)


@page_for(Action.GIVE_NOTICE)
def notice_cancel(request: SignedInRequest, ref: str) -> HttpResponse:
    """Cancel a notice, or bring a cancelled one back."""
    one = _find(request, ref, Action.GIVE_NOTICE)
    is_cancelled, today = one.cancelled_on is not None, today_at(one.property)
    form: Any = (WhyForm if is_cancelled else OnAndWhyForm)(posted(request), initial={"on": today})
    if not is_cancelled:
        form.fields["on"] = DayField(label=_("Cancelled on"), initial=today)

    def act(data: dict[str, Any]) -> str:
        if is_cancelled:
            bring_notice_back(notice=one, why=data["why"])
            return _("It holds again.")
        cancel_notice(notice=one, on=data["on"], why=data["why"], today=today)
        return _("Cancelled. No dig may go by it any more.")

    words = _("Bring ticket %s back") if is_cancelled else _("Cancel ticket %s")
    button = _("Bring it back") if is_cancelled else _("Cancel it")
    page = _page(one, words % one, button, act, template="sites/verb.html")
    return verb_page(request, form, page)


def _find(request: SignedInRequest, ref: str, action: Action) -> Notice:
    rows = notices_for(request.user, action).select_related("property", "fault__property", "rule")
    return find(rows.prefetch_related("operators"), ref=ref)


def _url(one: Notice) -> str:
    return reverse("faults:notice", args=[one.ref])


def _page(one: Notice, heading: str, button: str, act: Any, **given: Any) -> VerbPage:
    way = crumbs_of(one.fault) if one.fault else property_crumbs(one.property)
    fixed: dict[str, Any] = {
        "heading": heading,
        "button": button,
        "back": _url(one),
        "watched": [one, *one.operators.all()],
        "act": act,
        "crumbs": [*way, (_url(one), str(one))],
        "template": "faults/verbs/form.html",
    }
    return VerbPage(**{**fixed, **given})


def notices_and_questions(
    fault: Fault, rows: Sequence[FaultStation], *, at: datetime
) -> dict[str, Any]:
    """Return what a fault's page shows of its tickets and of what the client was asked."""
    tickets, questions, dig = notices_of(fault), asked_of(fault), PlannedDig(at, at)
    book = NoticeBook.of([]) if tickets else NoticeBook({}, {})
    return {
        "notices": [
            (each, headline(book.judge_ticket(each, fault.property, dig))) for each in tickets
        ],
        "questions": questions,
        "is_asked": any(not each.answer for each in questions),
        "is_proven": any(row.stage == Stage.PROVEN for row in rows),
    }

"""Notices: the list, one with its days, and the verbs on it."""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import cached_property
from typing import Any

from django import forms
from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.access import notices_for
from faults.cases.engines.stages import Stage
from faults.cases.views.common import (
    AboutFaultMixin,
    PlaceOrFaultView,
    crumbs_about,
)
from faults.models import Fault, FaultStation, Notice
from faults.notices.engines.dig_gate import PlannedDig
from faults.notices.forms.filters import NoticeFilter
from faults.notices.forms.notices import AnswersForm, CancelForm, NoticeForm
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
from sites.kernel.access import SignedInRequest, actions_on, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Property, User, today_at
from sites.register.views.lists import list_page

# What stands wherever days of a notice are shown.
CAUTION = _(
    "Default for planning. Check your state one-call centre (call 811) and local law. The "
    "ticket's own dates win."
)


@page_for(Action.SEE_WORK)
def notices(request: SignedInRequest) -> HttpResponse:
    """All notices, newest first, each with what it says today."""
    return list_page(
        request,
        heading=str(_("Notices")),
        none_yet=_("No notice was given yet."),
        lead=CAUTION,
        rows=notices_listed(request.user, at=timezone.now()),
        filter_class=NoticeFilter,
        table_class=NoticeTable,
    )


@page_for(Action.SEE_WORK)
def notice(request: SignedInRequest, ref: str) -> HttpResponse:
    """One notice: whether digging is allowed today, on which days, and why not."""
    one = _find(request.user, ref, Action.SEE_WORK)
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
        "caution": CAUTION,
    }
    if may(request.user, Action.SEE_HISTORY, place):
        context["history"] = history_of(one)
    return render(request, "faults/notices/notice.html", context)


class NoticeGiveHere(PlaceOrFaultView):
    """Record a notice for a whole property."""

    verb = give_notice
    form_class = NoticeForm
    heading, button = _("Give a notice for %s"), _("Keep this notice")
    lead = _("Call 811 or use the centre's own page; then write down here what stands there.")
    caution = CAUTION
    done = _("Kept. The days on which digging is allowed stand below.")
    template_name = "faults/verbs/form.html"

    def get_form_kwargs(self) -> dict[str, object]:
        return {**super().get_form_kwargs(), "zone": zone_of(self.row)}

    def get_initial(self) -> dict[str, object]:
        return {"given_at": timezone.now(), "proposed_start_on": self.today}

    def get_after(self) -> str:
        return _url(self.result)


class NoticeGive(AboutFaultMixin, NoticeGiveHere):
    """Record a notice for a fault."""


class NoticeView(VerbView[Notice]):
    """A verb on a notice; the page leads back to the notice."""

    takes = "notice"
    template_name = "faults/verbs/form.html"

    def find(self) -> Notice:
        return _find(self.user, self.kwargs["ref"], self.may_do)

    def get_place(self) -> Property:
        return self.row.property

    def get_watched(self) -> list[Model]:
        return [self.row, *self.row.operators.all()]

    def get_back(self) -> str:
        return _url(self.row)

    def get_crumbs(self) -> Crumbs:
        way = crumbs_about(self.row.property, self.row.fault)
        return [*way, (_url(self.row), str(self.row))]


class NoticeChange(NoticeView):
    """Type in the printed days, or correct what was typed."""

    verb = change_notice
    form_class = NoticeForm
    heading = _("Change ticket %s")
    lead = CAUTION

    def get_form_kwargs(self) -> dict[str, object]:
        return {"zone": zone_of(self.row.property), "notice": self.row}


class NoticeAnswers(NoticeView):
    """Who must answer, and what was answered."""

    verb = enter_answers
    form_class = AnswersForm
    heading, button = _("Answers to ticket %s"), _("Keep the answers")
    lead = _("A dig may go only when everybody marked, or said that nothing of theirs lies there.")

    def get_form_kwargs(self) -> dict[str, object]:
        return {"rows": operators_of(self.row), "today": self.today}

    def get_done(self) -> Text:
        return _("Kept.") if self.result else _("Nothing was different.")


class NoticeCancel(NoticeView):
    """Cancel a notice, or bring a cancelled one back."""

    verb = cancel_notice
    starts_today = ("on",)
    template_name = "sites/verb.html"

    @cached_property
    def is_cancelled(self) -> bool:
        """Whether the ticket was cancelled when the page was opened."""
        return self.row.cancelled_on is not None

    def get_verb(self) -> Callable[..., Any]:
        return bring_notice_back if self.is_cancelled else cancel_notice

    def get_form(self) -> forms.Form:
        form_class = WhyForm if self.is_cancelled else CancelForm
        return form_class(self.posted, initial=self.get_initial())

    def get_heading(self) -> Text:
        return _("Bring ticket %s back") if self.is_cancelled else _("Cancel ticket %s")

    def get_button(self) -> Text:
        return _("Bring it back") if self.is_cancelled else _("Cancel it")

    def get_done(self) -> Text:
        held_again, ended = _("It holds again."), _("Cancelled. No dig may go by it any more.")
        return held_again if self.is_cancelled else ended


def _find(user: User, ref: str, action: Action) -> Notice:
    rows = notices_for(user, action).select_related("property", "fault__property", "rule")
    return find(rows.prefetch_related("operators"), ref=ref)


def _url(one: Notice) -> str:
    return reverse("faults:notice", args=[one.ref])


def notices_and_questions(
    fault: Fault, rows: Sequence[FaultStation], *, at: datetime
) -> dict[str, object]:
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

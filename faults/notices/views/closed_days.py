"""Sets of closed days: one with its ticks, and the owner's verbs on it."""

from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.cases.views.common import posted
from faults.models import ClosedDays
from faults.notices.forms.notice_rules import WEEKDAYS, DayOfSetForm, SetForm, TicksForm, YearsForm
from faults.notices.queries import closed_day_sets, days_of
from faults.notices.services.closed import (
    add_day,
    add_years,
    change_closed_days,
    make_closed_days,
    tick_days,
)
from faults.notices.views.notice_rules import refuse_unless_everywhere, rule_crumbs
from faults.notices.views.notices import caution
from sites.kernel.access import SignedInRequest, find, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page


def _url(kept: ClosedDays) -> str:
    return reverse("faults:closed_days", args=[kept.ref])


@page_for(Action.GIVE_NOTICE)
def closed_days(request: SignedInRequest, ref: str) -> HttpResponse:
    """One set: which days count as closed."""
    kept = find(closed_day_sets(), ref=ref)
    names = dict(WEEKDAYS)
    context = {
        "kept": kept,
        "days": days_of(kept),
        "weekend": [names[each] for each in kept.weekend],
        "crumbs": rule_crumbs(),
        "caution": caution(),
        "may_set": may_everywhere(request.user, Action.SET_NOTICE_RULES),
    }
    return render(request, "faults/notices/closed_days.html", context)


@page_for(Action.SET_NOTICE_RULES)
def closed_days_add(request: SignedInRequest) -> HttpResponse:
    """Make a set, seeded with holidays."""
    refuse_unless_everywhere(request)
    year = timezone.localdate().year
    form = SetForm(posted(request), initial={"years": f"{year}, {year + 1}"})
    made: list[ClosedDays] = []

    def act(data: dict[str, Any]) -> str:
        made.append(make_closed_days(**{**data, "weekend": "".join(data["weekend"])}))
        return _("Kept. Now tick the days on which the centre is closed.")

    page = VerbPage(
        heading=_("Make a set of closed days"),
        button=_("Make it"),
        back=reverse("faults:notice_rules"),
        watched=[],
        act=act,
        crumbs=rule_crumbs(),
        lead=_("Holidays come from a library; which of them the centre keeps, only it can say."),
        after=lambda: reverse("faults:closed_days_ticks", args=[made[0].ref]),
    )
    return verb_page(request, form, page)


@page_for(Action.SET_NOTICE_RULES)
def closed_days_ticks(request: SignedInRequest, ref: str) -> HttpResponse:
    """Tick the days of a set."""
    kept, days = _found(request, ref)
    form = TicksForm(posted(request), days=days)

    def act(_data: dict[str, Any]) -> str:
        changed = tick_days(kept=kept, closed=form.closed())
        return _("Kept.") if changed else _("Nothing was different.")

    lead = _("Lists of holidays hold ceremonial days too. Tick the days the centre closes for.")
    page = _page(kept, _("Closed days of %s") % kept, form, act, lead=lead, watched=[kept, *days])
    return verb_page(request, form, page)


@page_for(Action.SET_NOTICE_RULES)
def closed_days_change(request: SignedInRequest, ref: str) -> HttpResponse:
    """Change the name of a set, or its weekend."""
    kept, _days = _found(request, ref)
    form = SetForm(posted(request), kept=kept)

    def act(data: dict[str, Any]) -> str:
        change_closed_days(kept=kept, name=data["name"], weekend="".join(data["weekend"]))
        return _("Kept.")

    return verb_page(request, form, _page(kept, _("Change %s") % kept, form, act))


@page_for(Action.SET_NOTICE_RULES)
def closed_days_years(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add years to a set."""
    kept, days = _found(request, ref)
    after = max((day.on.year for day in days), default=timezone.localdate().year - 1) + 1
    form = YearsForm(posted(request), initial={"years": str(after)})

    def act(data: dict[str, Any]) -> str:
        return _("%s days added. Tick those on which the centre is closed.") % add_years(
            kept=kept, years=data["years"]
        )

    return verb_page(request, form, _page(kept, _("Add years to %s") % kept, form, act))


@page_for(Action.SET_NOTICE_RULES)
def closed_days_day(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add one day by hand."""
    kept, _days = _found(request, ref)
    form = DayOfSetForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        add_day(kept=kept, on=data["on"], name=data["name"])
        return _("Kept, as a closed day.")

    return verb_page(request, form, _page(kept, _("Add a day to %s") % kept, form, act))


def _found(request: SignedInRequest, ref: str) -> tuple[ClosedDays, list[Any]]:
    refuse_unless_everywhere(request)
    kept = find(closed_day_sets(), ref=ref)
    return kept, days_of(kept)


def _page(kept: ClosedDays, heading: str, form: forms.Form, act: Any, **given: Any) -> VerbPage:
    fixed: dict[str, Any] = {
        "heading": heading,
        "button": _("Keep this"),
        "back": _url(kept),
        "watched": [kept],
        "act": act,
        "crumbs": [*rule_crumbs(), (_url(kept), str(kept))],
    }
    return VerbPage(**{**fixed, **given})

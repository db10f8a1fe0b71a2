"""Notice rules: the list, one in words, and the owner's verbs on it."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.cases.views.common import posted
from faults.models import NoticeRule
from faults.notices.forms.notice_rules import ConfirmForm, RuleForm
from faults.notices.queries import closed_day_sets, regions_without_rule, rules_listed
from faults.notices.services.rules import (
    add_rule,
    change_rule,
    confirm_rule,
    take_back_confirmation,
)
from faults.notices.services.templates import STARTS, start_named
from faults.notices.services.words import rule_sentence
from faults.notices.views.notices import caution
from sites.kernel.access import SignedInRequest, find, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.history import history_of
from sites.kernel.views.verbs import VerbPage, verb_page

Crumbs = list[tuple[str, str]]


def rule_crumbs(rule: NoticeRule | None = None) -> Crumbs:
    """Return the way from all rules to this one."""
    way = [(reverse("faults:notice_rules"), str(_("Notice rules")))]
    return [*way, (_url(rule), str(rule))] if rule else way


def refuse_unless_everywhere(request: SignedInRequest) -> None:
    """Rules hold for all properties: an owner of only some of them may not set them."""
    if not may_everywhere(request.user, Action.SET_NOTICE_RULES):
        raise PermissionDenied


def _url(rule: NoticeRule) -> str:
    return reverse("faults:notice_rule", args=[rule.ref])


def _may_set(request: SignedInRequest) -> bool:
    return may_everywhere(request.user, Action.SET_NOTICE_RULES)


@page_for(Action.GIVE_NOTICE)
def notice_rules(request: SignedInRequest) -> HttpResponse:
    """All rules with whether, by whom and when each was confirmed; and the closed days."""
    context = {
        "rules": [(rule, rule_sentence(rule)) for rule in rules_listed()],
        "sets": list(closed_day_sets()),
        "without": regions_without_rule(request.user),
        "caution": caution(),
        "may_set": _may_set(request),
    }
    return render(request, "faults/notices/rules.html", context)


@page_for(Action.GIVE_NOTICE)
def notice_rule(request: SignedInRequest, ref: str) -> HttpResponse:
    """One rule in words."""
    rule = find(rules_listed(), ref=ref)
    context = {
        "rule": rule,
        "sentence": rule_sentence(rule),
        "crumbs": rule_crumbs(),
        "caution": caution(),
        "may_set": _may_set(request),
    }
    if _may_set(request):
        context["history"] = history_of(rule)
    return render(request, "faults/notices/rule.html", context)


@page_for(Action.SET_NOTICE_RULES)
def notice_rule_add(request: SignedInRequest) -> HttpResponse:
    """Add a rule, from nothing or from what a public text says."""
    refuse_unless_everywhere(request)
    start = start_named(request.GET.get("from", ""))
    form = RuleForm(posted(request), initial=start.initial() if start else None)
    made: list[NoticeRule] = []

    def act(_data: dict[str, Any]) -> str:
        made.append(add_rule(values=form.values()))
        return _("Kept. It lets no dig go until it is confirmed.")

    page = VerbPage(
        heading=_("Add a notice rule"),
        button=_("Keep this rule"),
        back=reverse("faults:notice_rules"),
        watched=[],
        act=act,
        crumbs=rule_crumbs(),
        caution=caution(),
        template="faults/notices/rule_form.html",
        after=lambda: _url(made[0]),
        extra={"starts": STARTS, "start": start},
    )
    return verb_page(request, form, page)


@page_for(Action.SET_NOTICE_RULES)
def notice_rule_change(request: SignedInRequest, ref: str) -> HttpResponse:
    """Change a rule."""
    refuse_unless_everywhere(request)
    rule = find(rules_listed(), ref=ref)
    form = RuleForm(posted(request), rule=rule)

    def act(_data: dict[str, Any]) -> str:
        if change_rule(rule=rule, values=form.values()):
            return _("Kept. A number changed: it must be confirmed again.")
        return _("Kept.")

    page = _page(rule, _("Change the rule of %s") % rule, _("Keep this"), act)
    return verb_page(request, form, page)


@page_for(Action.SET_NOTICE_RULES)
def notice_rule_confirm(request: SignedInRequest, ref: str) -> HttpResponse:
    """Confirm a rule, or take its confirmation back."""
    refuse_unless_everywhere(request)
    rule, today = find(rules_listed(), ref=ref), timezone.localdate()
    is_confirmed = rule.confirmed_on is not None
    form: Any = (WhyForm if is_confirmed else ConfirmForm)(posted(request), initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        if is_confirmed:
            take_back_confirmation(rule=rule, why=data["why"])
            return _("No dig may go by this rule until it is confirmed again.")
        confirm_rule(rule=rule, by=request.user, on=data["on"], today=today)
        return _("Confirmed. Digs may go by this rule.")

    words = _("Take the confirmation of %s back") if is_confirmed else _("Confirm the rule of %s")
    button = _("Take it back") if is_confirmed else _("Confirm it")
    template = "sites/verb.html" if is_confirmed else "faults/verbs/form.html"
    page = _page(rule, words % rule, button, act, template=template)
    return verb_page(request, form, page)


def _page(rule: NoticeRule, heading: str, button: str, act: Any, **given: Any) -> VerbPage:
    fixed: dict[str, Any] = {
        "heading": heading,
        "button": button,
        "back": _url(rule),
        "watched": [rule],
        "act": act,
        "crumbs": rule_crumbs(rule),
        "lead": rule_sentence(rule),
        "caution": caution(),
        "template": "faults/verbs/form.html",
    }
    return VerbPage(**{**fixed, **given})

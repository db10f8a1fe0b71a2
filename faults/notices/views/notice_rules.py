"""Notice rules: the list, one in words, and the owner's verbs on it."""

from collections.abc import Callable
from functools import cached_property
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.models import NoticeRule
from faults.notices.forms.notice_rules import ConfirmForm, RuleForm
from faults.notices.queries import closed_day_sets, regions_without_rule, rules_listed
from faults.notices.services.rules import (
    add_rule,
    change_rule,
    confirm_rule,
    take_back_confirmation,
)
from faults.notices.services.templates import STARTS, Start, start_named
from faults.notices.services.words import rule_sentence
from faults.notices.views.notices import CAUTION
from sites.kernel.access import SignedInRequest, find, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_views import Crumbs, Text, VerbView

Row = TypeVar("Row")


def rule_crumbs(rule: NoticeRule | None = None) -> Crumbs:
    """Return the way from all rules to this one."""
    way: list[tuple[str, Text]] = [(reverse("faults:notice_rules"), _("Notice rules"))]
    return [*way, (_url(rule), str(rule))] if rule else way


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
        "caution": CAUTION,
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
        "caution": CAUTION,
        "may_set": _may_set(request),
    }
    if _may_set(request):
        context["history"] = history_of(rule)
    return render(request, "faults/notices/rule.html", context)


class SetRuleView(VerbView[Row]):
    """A verb on rules: they hold for all properties, so an owner of only some may not set them."""

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if not may_everywhere(self.user, self.may_do):
            raise PermissionDenied
        return super().dispatch(request, *args, **kwargs)


class NoticeRuleAdd(SetRuleView[None]):
    """Add a rule, from nothing or from what a public text says."""

    verb = add_rule
    form_class = RuleForm
    heading, button = _("Add a notice rule"), _("Keep this rule")
    caution = CAUTION
    done = _("Kept. It lets no dig go until it is confirmed.")
    template_name = "faults/notices/rule_form.html"

    def find(self) -> None:
        return None

    @cached_property
    def start(self) -> Start | None:
        """What a public text says, where the address names one."""
        return start_named(self.request.GET.get("from", ""))

    def get_initial(self) -> dict[str, object]:
        return self.start.initial() if self.start else {}

    def get_back(self) -> str:
        return reverse("faults:notice_rules")

    def get_crumbs(self) -> Crumbs:
        return rule_crumbs()

    def get_extra(self) -> dict[str, object]:
        return {"starts": STARTS, "start": self.start}

    def get_after(self) -> str:
        return _url(self.result)


class RuleView(SetRuleView[NoticeRule]):
    """A verb on a rule; the page shows what it says, and leads back to it."""

    takes = "rule"
    caution = CAUTION
    template_name = "faults/verbs/form.html"

    def find(self) -> NoticeRule:
        return find(rules_listed(), ref=self.kwargs["ref"])

    def get_back(self) -> str:
        return _url(self.row)

    def get_crumbs(self) -> Crumbs:
        return rule_crumbs(self.row)

    def get_lead(self) -> Text:
        return rule_sentence(self.row)


class NoticeRuleChange(RuleView):
    """Change a rule."""

    verb = change_rule
    form_class = RuleForm
    heading = _("Change the rule of %s")

    def get_done(self) -> Text:
        if self.result:
            return _("Kept. A number changed: it must be confirmed again.")
        return _("Kept.")


class NoticeRuleConfirm(RuleView):
    """Confirm a rule, or take its confirmation back."""

    verb = confirm_rule
    starts_today = ("on",)

    @cached_property
    def is_confirmed(self) -> bool:
        """Whether the rule was confirmed when the page was opened."""
        return self.row.confirmed_on is not None

    @property
    def template_name(self) -> str:  # type: ignore[override]
        """The plain page for a reason, the one with groups for what has to be ticked."""
        return "sites/verb.html" if self.is_confirmed else "faults/verbs/form.html"

    def get_verb(self) -> Callable[..., Any]:
        return take_back_confirmation if self.is_confirmed else confirm_rule

    def get_form(self) -> forms.Form:
        form_class = WhyForm if self.is_confirmed else ConfirmForm
        return form_class(self.posted, initial=self.get_initial())

    def get_heading(self) -> Text:
        if self.is_confirmed:
            return _("Take the confirmation of %s back")
        return _("Confirm the rule of %s")

    def get_button(self) -> Text:
        return _("Take it back") if self.is_confirmed else _("Confirm it")

    def get_done(self) -> Text:
        if self.is_confirmed:
            return _("No dig may go by this rule until it is confirmed again.")
        return _("Confirmed. Digs may go by this rule.")

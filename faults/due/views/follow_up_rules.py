"""The rules of what falls due."""

from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.cases.views.common import posted
from faults.due.forms import RulesForm
from faults.due.services.rules import kept_rules, rules_now, set_rule
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page


@page_for(Action.SET_UP_WORK)
def follow_up_rules(request: SignedInRequest) -> HttpResponse:
    """Show and set every rule at once."""
    form = RulesForm(posted(request), rules=rules_now())

    def act(data: dict[str, Any]) -> str:
        for kind, is_on, days in form.wanted():
            set_rule(kind=kind, is_on=is_on, days=days)
        return _("Kept. Days that nobody moved by hand follow within a quarter of an hour.")

    page = VerbPage(
        heading=_("Rules of what falls due"),
        button=_("Keep"),
        back=reverse("faults:follow_up_rules"),
        watched=kept_rules(),
        act=act,
        crumbs=[(reverse("faults:due"), _("Due"))],
        lead=_("Each rule raises a line under Due by itself, once, and lets it go when it lapses."),
        template="faults/due/rules.html",
    )
    return verb_page(request, form, page)

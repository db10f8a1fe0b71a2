"""Damage by third parties: the list, one claim with its cost, and its verbs."""

from collections.abc import Sequence
from typing import Any

from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.billing.forms.claims import ClaimFilter, ClaimForm, PaidForm
from faults.billing.queries import claims_for, claims_listed, damage_lines, faults_not_claimed
from faults.billing.services.claims import (
    change_claim,
    cost_of,
    drop_claim,
    note_paid,
    open_claim,
    take_back_paid,
)
from faults.billing.tables import ClaimTable
from faults.cases.views.common import FaultView, OfFaultView
from faults.models import DamageClaim, Fault
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.history import history_of
from sites.models import User
from sites.register.views.lists import list_page


@page_for(Action.SEE_RATES)
def claims(request: SignedInRequest) -> HttpResponse:
    """All claims, those that are not paid first."""
    unpaid = f"{reverse('faults:claims')}?state=unpaid"
    return list_page(
        request,
        heading=str(_("Damage by others")),
        none_yet=_("No damage by others was claimed yet."),
        rows=claims_listed(request.user),
        filter_class=ClaimFilter,
        table_class=ClaimTable,
        summed=lambda rows: [*_sums(rows), *_not_claimed(request.user)],
        lead=_(
            "What third parties owe for damage. The cost is that of the fault's lines for damage; "
            "a claim is opened on the fault's page."
        ),
        further=[(unpaid, _("Not paid")), (reverse("faults:unbilled"), _("Finished and unbilled"))],
    )


def _sums(rows: QuerySet[DamageClaim]) -> Sequence[str]:
    faults = rows.filter(dropped_on=None).order_by().values("fault")
    return cost_of(damage_lines(faults)).words


def _not_claimed(user: User) -> list[str]:
    """Name faults with lines for damage that nobody claims, so that none is forgotten."""
    faults = [str(fault) for fault in faults_not_claimed(user)]
    if not faults:
        return []
    return [str(_("Lines for damage, but no claim: %s.")) % ", ".join(faults)]


@page_for(Action.SEE_RATES)
def claim(request: SignedInRequest, ref: str) -> HttpResponse:
    """One claim with its statement, the lines that it costs, and the breaks that show it."""
    one = find(claims_for(request.user), ref=ref)
    lines = list(damage_lines([one.fault_id]).order_by("on", "pk"))
    context = {
        "claim": one,
        "place": one.fault.property,
        "lines": lines,
        "sums": cost_of(lines).words,
        "breaks": one.fault.breaks.select_related("leg").order_by("running_number", "pk"),
        "may_change": claims_for(request.user, Action.GIVE_TO_BOOKS).filter(pk=one.pk).exists(),
        "history": history_of(one),
    }
    return render(request, "faults/billing/claim.html", context)


class ClaimAdd(FaultView):
    """Claim damage from a third party."""

    verb = open_claim
    form_class = ClaimForm
    heading, button = _("%s: damage by a third party"), _("Keep this claim")
    lead = _(
        "Lines of this fault that a third party pays are its cost. The client is not charged for "
        "them; their hours are spent all the same."
    )
    done = _("Kept. Give the lines that it costs to “a third party, for damage”.")

    def get_initial(self) -> dict[str, Any]:
        return {"made_on": self.today, "liable_party": _liable(self.row)}

    def elsewhere(self) -> str:
        # What was typed is kept: only who opens the form is led to the claim that stands.
        standing = self.row.damage_claims.filter(dropped_on=None).first()
        if standing is None or self.request.method != "GET":
            return ""
        return reverse("faults:claim", args=[standing.ref])

    def get_after(self) -> str:
        return reverse("faults:claim", args=[self.result.ref])


def _liable(fault: Fault) -> str:
    rows = fault.breaks.exclude(liable_party="").order_by("-running_number", "-pk")
    return rows.values_list("liable_party", flat=True).first() or ""


class _OfClaim(OfFaultView[DamageClaim]):
    takes = "claim"

    def find(self) -> DamageClaim:
        return find(claims_for(self.user, self.may_do), ref=self.kwargs["ref"])

    @property
    def fault(self) -> Fault:
        return self.row.fault

    def get_named(self) -> object:
        return self.row.liable_party

    def get_back(self) -> str:
        return reverse("faults:claim", args=[self.row.ref])


class ClaimChange(_OfClaim):
    """Change what a claim says."""

    verb = change_claim
    form_class = ClaimForm
    heading, button = _("Change the claim on %s"), _("Keep this claim")
    done = _("Kept. History keeps what was there before.")

    def get_initial(self) -> dict[str, Any]:
        names = ("liable_party", "claim_number", "statement", "made_on")
        return {name: getattr(self.row, name) for name in names}


class ClaimPaid(_OfClaim):
    """Note that it was paid."""

    verb = note_paid
    form_class = PaidForm
    starts_today = ("paid_on",)
    heading, button = _("%s has paid?"), _("It is paid")
    done = _("Kept: it is paid.")


class ClaimNotPaid(_OfClaim):
    """Take back that it was paid."""

    verb = take_back_paid
    form_class = WhyForm
    heading, button = _("%s has not paid after all?"), _("It is not paid")
    done = _("It is not paid again.")


class ClaimDrop(_OfClaim):
    """Claim nothing any more."""

    verb = drop_claim
    form_class = WhyForm
    heading, button = _("Drop the claim on %s"), _("Drop it")
    done = _("Dropped. It stays in the list; its lines keep who pays, so correct them.")

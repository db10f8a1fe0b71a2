"""Batches that were given to the books: the list, one with its files, and taking one back."""

from typing import Any

from django.http import HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.billing.forms.giving import BatchFilter, OrderNumberForm, PenaltyForm
from faults.billing.queries import batches_for, batches_listed, entries_of
from faults.billing.services.files import batch_list, batch_plain, sums_of_entries
from faults.billing.services.giving import note_order_number, take_back_batch
from faults.billing.services.penalties import note_penalty
from faults.billing.tables import BatchTable
from faults.cases.views.common import FaultView
from faults.models import BookBatch
from faults.work.views.job_common import JobView
from sites.kernel.access import SignedInRequest, actions_anywhere, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.history import history_of
from sites.kernel.views.table_files import list_file
from sites.kernel.views.verb_views import Crumbs, VerbView
from sites.register.views.lists import list_page


def _crumbs() -> Crumbs:
    return [
        (reverse("faults:unbilled"), _("Finished and unbilled")),
        (reverse("faults:batches"), _("Batches")),
    ]


@page_for(Action.SEE_RATES)
def batches(request: SignedInRequest) -> HttpResponse:
    """All batches, the newest first; those taken back stay in the list."""
    return list_page(
        request,
        heading=str(_("Batches")),
        none_yet=_("Nothing was given to the books yet."),
        rows=batches_listed(request.user),
        filter_class=BatchFilter,
        table_class=BatchTable,
        lead=_("What was given to the books, and on which day. No line is in two that stand."),
        further=[(reverse("faults:unbilled"), _("Finished and unbilled"))],
    )


@page_for(Action.SEE_RATES)
def batch(request: SignedInRequest, ref: str) -> HttpResponse:
    """One batch with what it gave, or as a file."""
    one = find(batches_for(request.user), ref=ref)
    if file := _file(request, one):
        return file
    entries = entries_of(one)
    context = {
        "batch": one,
        "rows": entries,
        "sums": sums_of_entries(entries).words,
        "crumbs": _crumbs(),
        "may_give": batches_for(request.user, Action.GIVE_TO_BOOKS).filter(pk=one.pk).exists(),
        "history": history_of(one),
    }
    return render(request, "faults/billing/batch.html", context)


def _file(request: SignedInRequest, one: BookBatch) -> HttpResponse | None:
    kind = request.GET.get("export", "")
    if Action.EXPORT not in actions_anywhere(request.user):
        return None
    if kind in ("csv", "xlsx"):
        return list_file(batch_list(one), kind=kind)
    if kind != "json":
        return None
    name = f"batch-{one.pk}-{one.given_on.isoformat()}.json"
    answer = JsonResponse(batch_plain(one), json_dumps_params={"ensure_ascii": False, "indent": 1})
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


class BatchTakeBack(VerbView[BookBatch]):
    """Take a batch back: its lines are unbilled again, and it stays in the list."""

    verb = take_back_batch
    takes = "batch"
    form_class = WhyForm
    heading, button = _("Take %s back from the books"), _("Take it back")
    lead = _(
        "Its lines are unbilled again and can be corrected. The batch stays in the list, marked. "
        "What your books took from it has to be put right there."
    )
    done = _("Taken back. Its lines are unbilled again.")

    def find(self) -> BookBatch:
        return find(batches_for(self.user, self.may_do), ref=self.kwargs["ref"])

    def get_back(self) -> str:
        return reverse("faults:batch", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return [*_crumbs(), (self.get_back(), str(self.row))]


class FaultOrder(FaultView):
    """Note the client's order number of a fault."""

    verb = note_order_number
    takes = "of"
    form_class = OrderNumberForm
    heading, button = _("%s: the client's order number"), _("Keep this number")
    done = _("Kept. It stands on each line that is not billed yet.")

    def get_initial(self) -> dict[str, Any]:
        return {"order_number": self.row.order_number}


class FaultPenalty(FaultView):
    """Note what the client was paid for a fault, as agreed."""

    verb = note_penalty
    takes = "fault"
    form_class = PenaltyForm
    heading, button = _("%s: paid to the client"), _("Keep this amount")
    lead = _(
        "What was agreed with the client and had to be paid, because it took too long or cost too "
        "much. It counts as part of what a fault costs, wherever renewing a leg is weighed."
    )
    done = _("Kept. It counts in what a fault costs, once the fault is over.")

    def get_initial(self) -> dict[str, Any]:
        return {"penalty": self.row.penalty}


class JobOrder(JobView):
    """Note the client's order number of one visit, where it is not that of its fault."""

    verb = note_order_number
    takes = "of"
    form_class = OrderNumberForm
    heading, button = _("The client's order number of this visit"), _("Keep this number")
    lead = _("Empty: the number of its fault stands on the bill.")
    done = _("Kept. It stands on each line that is not billed yet.")

    def get_initial(self) -> dict[str, Any]:
        return {"order_number": self.row.order_number}

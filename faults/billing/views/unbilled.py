"""Finished and unbilled work: the list, and the batch that is made from ticked lines."""

from collections.abc import Sequence
from functools import cached_property
from typing import Any

from django.db.models import Model, QuerySet
from django.http import HttpResponse, QueryDict
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from faults.billing.forms.giving import GiveForm, UnbilledFilter
from faults.billing.queries import lines_to_give, unbilled_lines
from faults.billing.services.files import sums_of_entries
from faults.billing.services.giving import MOST_LINES, entry_of, give_to_books
from faults.billing.services.sums import sums_of
from faults.billing.tables import UnbilledTable
from faults.models import JobLine
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.many import Named
from sites.kernel.views.acts import Look
from sites.kernel.views.many import ManyView
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import User
from sites.register.views.lists import list_page

NO_LINES = "state=done&lines=none"


class UnbilledMany(ManyView[JobLine]):
    """What may be done to ticked lines: they go into one batch."""

    asks_for = Action.SEE_RATES
    list_page, many_page = "faults:unbilled", "faults:unbilled_many"
    looks = {"give": Look(_("Give to the books…"), "faults:batch_give")}
    most_to_look_at = MOST_LINES

    @classmethod
    def rows_for(cls, user: User, action: Action) -> QuerySet[JobLine]:
        return unbilled_lines(user)

    def matching(self, asked: QueryDict) -> QuerySet[JobLine]:
        found: QuerySet[JobLine] = UnbilledFilter(
            asked, queryset=unbilled_lines(self.request.user)
        ).qs
        return found.order_by("on", "pk")

    @classmethod
    def named(cls, row: JobLine) -> Named[JobLine]:
        return Named(row, str(row), reverse("faults:job", args=[row.job.ref]))


@page_for(Action.SEE_RATES)
def unbilled(request: SignedInRequest) -> HttpResponse:
    """All lines of finished work that are in no batch, with their sums."""
    return list_page(
        request,
        heading=str(_("Finished and unbilled")),
        none_yet=_("No line of finished work waits to be given to the books."),
        rows=unbilled_lines(request.user),
        filter_class=UnbilledFilter,
        table_class=UnbilledTable,
        many=UnbilledMany,
        summed=_sums,
        lead=_(
            "Lines of finished visits that were not given to the books. Warranty and contract "
            "work charges 0.00; its hours are spent all the same."
        ),
        further=[
            (reverse("faults:batches"), _("Batches")),
            (reverse("faults:earnings"), _("What it earned")),
            (
                f"{reverse('faults:jobs')}?state=done&lines=none",
                _("Finished visits without a line"),
            ),
            (reverse("faults:job_lines"), _("Lines of jobs")),
            (reverse("faults:claims"), _("Damage by others")),
        ],
    )


def _sums(rows: QuerySet[Any]) -> Sequence[str]:
    # These columns alone: what else a line shows costs a query within the query each.
    names = ("basis", "quantity", "unit_price")
    plain = rows.order_by().values_list("currency", *names)
    charges = (
        (currency, JobLine(**dict(zip(names, rest, strict=True))).charged)
        for currency, *rest in plain
    )
    return sums_of(charges).words


class BatchGive(VerbView[list[JobLine]]):
    """Make a batch of the ticked lines: given to the books on a day."""

    verb = give_to_books
    takes = "lines"
    form_class = GiveForm
    starts_today = ("given_on",)
    button = _("Give them to the books")
    template_name = "faults/billing/give.html"

    @cached_property
    def refs(self) -> list[str]:
        """The lines that the address names."""
        return list(dict.fromkeys(self.request.GET.get("rows", "").split()))[: MOST_LINES + 1]

    def find(self) -> list[JobLine]:
        return lines_to_give(self.user, self.refs)

    def get_watched(self) -> Sequence[Model]:
        return self.row

    def get_back(self) -> str:
        return reverse("faults:unbilled")

    def get_after(self) -> str:
        return reverse("faults:batch", args=[self.result.ref])

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("Finished and unbilled"))]

    def get_heading(self) -> Text:
        count = len(self.row)
        words = ngettext("Give %s line to the books", "Give %s lines to the books", count)
        return str(words) % count

    def get_caution(self) -> Text:
        if not self.row:
            return _("Nothing is ticked. Go back to the list, and tick the lines to give.")
        if (missing := len(self.refs) - len(self.row)) > 0:
            words = ngettext(
                "%s ticked line is no longer there, or not yours to give: it is left out.",
                "%s ticked lines are no longer there, or not yours to give: they are left out.",
                missing,
            )
            return str(words) % missing
        return ""

    def get_extra(self) -> dict[str, Any]:
        rows = [entry_of(line) for line in self.row]
        return {"rows": rows, "sums": sums_of_entries(rows).words}

    def get_done(self) -> Text:
        return str(_("%s is made. Take its file into your books.") % self.result)

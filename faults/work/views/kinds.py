"""Kinds of job: what each needs, and the page that changes it."""

from collections.abc import Sequence

from django.db.models import Model
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.models import JobKind
from faults.work.forms.kinds import KindFactsForm
from faults.work.queries.kinds import all_kinds, rows_of_kind
from faults.work.services.kinds import change_kind
from sites.kernel.access import SignedInRequest, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Crumbs, Text, VerbView


@page_for(Action.SEE_WORK)
def job_kinds(request: SignedInRequest) -> HttpResponse:
    """All kinds with what new jobs of each start with."""
    context = {
        "rows": all_kinds(),
        "may_set_up": may_everywhere(request.user, Action.SET_UP_WORK),
    }
    return render(request, "faults/jobs/kinds.html", context)


class JobKindChange(VerbView[str]):
    """Change what a kind of job needs."""

    verb = change_kind
    takes = "kind"
    form_class = KindFactsForm
    heading, button = _("What does it need: %s"), _("Keep this")
    lead = _("New jobs of this kind start with it. Planned ones keep what they have.")

    def find(self) -> str:
        kind = str(self.kwargs["kind"])
        if kind not in JobKind.values or not may_everywhere(self.user, self.may_do):
            raise Http404
        return kind

    def get_watched(self) -> Sequence[Model]:
        return rows_of_kind(self.row)

    def get_named(self) -> Text:
        return JobKind(self.row).label

    def get_back(self) -> str:
        return reverse("faults:job_kinds")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("Kinds of job"))]

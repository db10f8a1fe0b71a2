"""Lines of a job: add one, correct it, strike it out, put it back. And what a hole may cost."""

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from faults.access import job_lines_for
from faults.models import Job, JobLine, LineKind
from faults.prices.engines.pricing import LABOUR
from faults.work.forms.job_lines import HoleForm, LineForm
from faults.work.forms.jobs import WhyForm
from faults.work.queries.jobs import lines_of
from faults.work.services.estimate import estimate
from faults.work.services.ground_words import ground_of
from faults.work.services.lines import add_line, correct_line, put_line_back, remove_line
from faults.work.services.proposed import Proposed, visit_of
from faults.work.views.job_common import JobView, OfJobView, job_crumbs, the_job
from sites.kernel.access import SignedInRequest, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Text
from sites.models import today_at


class JobLineAdd(JobView):
    """Add a line for time, parts or standing by."""

    verb = add_line
    heading, button = _("Add a line"), _("Keep this line")
    template_name = "faults/jobs/line.html"

    @cached_property
    def kind(self) -> str:
        """The kind that the address names."""
        named = self.request.GET.get("kind", "")
        return str(named if named in LineKind.values else LineKind.TIME)

    @cached_property
    def proposed(self) -> Proposed | None:
        """The line that the visit still asks for: of the charge that the address names, if any."""
        visit = visit_of(self.row, lines_of(self.row))
        found = [each for each in visit.proposed if each.kind == self.kind] if visit else []
        named = self.request.GET.get("charge", "")
        if named:
            return next((each for each in found if each.charge == named), None)
        return next((each for each in found if each.charge in LABOUR), None)

    def get_form(self) -> LineForm:
        sees_prices = may(self.user, Action.SEE_RATES, self.get_place())
        return LineForm(
            self.posted,
            job=self.row,
            sees_prices=sees_prices,
            today=self.today,
            kind=self.kind,
            proposed=self.proposed,
        )

    def get_watched(self) -> list[Model]:
        # Two people may add lines to one job at once: neither overwrites the other.
        return []

    def get_extra(self) -> dict[str, object]:
        return {"kinds": LineKind.choices, "kind": self.kind}

    def get_done(self) -> Text:
        return str(_("The line is kept: %s.") % self.result.what)


class _OfLine(OfJobView[JobLine]):
    takes = "line"

    def find(self) -> JobLine:
        rows = job_lines_for(self.user, self.may_do)
        return find(rows.select_related("job__property", "job__fault"), pk=self.kwargs["pk"])

    @property
    def job(self) -> Job:
        return self.row.job

    def get_named(self) -> str:
        return self.row.what


class JobLineCorrect(_OfLine):
    """Correct what a line says."""

    verb = correct_line
    heading, button = _("Correct a line"), _("Correct it")
    done = _("Corrected. History keeps what was there before.")

    def get_form(self) -> LineForm:
        sees_prices = may(self.user, Action.SEE_RATES, self.get_place())
        return LineForm(
            self.posted, job=self.job, sees_prices=sees_prices, today=self.today, line=self.row
        )


class JobLineRemove(_OfLine):
    """Strike a line out."""

    verb = remove_line
    form_class = WhyForm
    heading, button = _("Strike out “%s”"), _("Strike it out")
    done = _("Struck out: it counts nowhere, and can be put back.")


class JobLinePutBack(_OfLine):
    """Put a struck line back."""

    verb = put_line_back
    heading, button = _("Put “%s” back?"), _("Put it back")
    done = _("The line counts again.")


@page_for(Action.SEE_WORK)
def job_estimate(request: SignedInRequest, ref: str) -> HttpResponse:
    """How many hours the hole takes by hand, as a range, and what that comes to."""
    job = the_job(request, ref, Action.SEE_WORK)
    place = job.property
    known = {"depth_in": job.planned_depth_in, "ground": ground_of(place.soil)}
    form = HoleForm(request.GET if "length_ft" in request.GET else None, place=place, initial=known)
    sees_prices = may(request.user, Action.SEE_RATES, place)
    today = today_at(place)
    found = estimate(place, form.cleaned_data, today=today) if form.is_valid() else None
    context = {
        "job": job,
        "place": place,
        "form": form,
        "crumbs": job_crumbs(job),
        "found": found,
        "sees_prices": sees_prices,
        "today": today,
    }
    status = 422 if form.errors else 200
    return render(request, "faults/jobs/estimate.html", context, status=status)

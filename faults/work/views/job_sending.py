"""Who goes when: assign, move, take back, lock and unlock a job, a page each."""

from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from faults.work.forms.jobs import WhyForm
from faults.work.forms.sending import SendForm
from faults.work.queries.jobs import crews_to_send
from faults.work.services import assign_job, lock_job, move_job, unassign_job, unlock_job
from faults.work.views.job_common import JobView
from sites.kernel.views.verb_views import Text


class _Send(JobView):
    @cached_property
    def form(self) -> SendForm:
        crews = crews_to_send(on=self.today, besides=self.row.crew)
        return SendForm(self.posted, crews=crews, job=self.row, today=self.today)


class JobAssign(_Send):
    """Send a crew on a day."""

    verb = assign_job
    heading, button = _("Assign this job"), _("Assign it")

    def get_lead(self) -> Text:
        return "" if self.form.crews else _("There is no crew yet. Add one under Crews first.")

    def get_done(self) -> Text:
        return _("%(crew)s goes on %(day)s.") % {"crew": self.row.crew, "day": self.row.day}


class JobMove(_Send):
    """Send another crew, or on another day."""

    verb = move_job
    heading, button = _("Move this job"), _("Move it")

    def get_done(self) -> Text:
        return _("Moved: %(crew)s goes on %(day)s.") % {"crew": self.row.crew, "day": self.row.day}


class JobUnassign(JobView):
    """Take a job from its crew, with the reason."""

    verb = unassign_job
    form_class = WhyForm
    heading, button = _("Take this job from its crew"), _("Take it")
    lead = _("Stations that only this visit was to go to are reported again, with the reason.")
    done = _("Nobody goes now. The job waits to be assigned.")


class JobLock(JobView):
    """Keep crew and day."""

    verb = lock_job
    heading, button = _("Lock this job to its day?"), _("Lock it")
    lead = _("A locked job is not moved, by nobody and by no suggestion, until it is unlocked.")
    done = _("Locked: crew and day stay as they are.")


class JobUnlock(JobView):
    """Unlock the job."""

    verb = unlock_job
    heading, button = _("Unlock this job?"), _("Unlock it")
    done = _("Unlocked: the job can be moved.")
